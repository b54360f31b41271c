import { describe, expect, it } from 'vitest'
import { noHistory } from '../../server/diagnosis/cause-counts.ts'
import { outlookOf } from '../../server/diagnosis/next-check.ts'
import { allowed } from '../../server/diagnosis/plan.ts'
import { rank } from '../../server/diagnosis/rank.ts'
import { suggesting } from '../../server/diagnosis/replay.ts'
import { run } from '../../server/diagnosis/run.ts'
import { compile } from '../../server/knowledge/compile.ts'
import { readKnowledge } from '../../server/knowledge/load.ts'

const { knowledge } = compile(readKnowledge('knowledge').files)

describe('in each tree that comes with the program', () => {
  it.each([...(knowledge?.trees.keys() ?? [])])('%s: neither order ever breaks a rule of the tree', tree => {
    if (!knowledge) throw new Error('The knowledge folder has errors.')
    const outlook = outlookOf(knowledge, tree, [], rank(knowledge, tree, [], noHistory))
    if (!outlook) throw new Error(`There is no tree “${tree}”.`)
    const { plan, standing, onward, author } = outlook
    for (const policy of [author.policy, suggesting(outlook)]) {
      let steps = 0
      run(
        plan,
        standing,
        here => {
          const check = policy(here)
          if (check >= 0 && !here.done[check]) {
            expect(allowed(plan, here, check), outlook.l.scope.checks[check]?.title).toBe(true)
            steps += 1
          }
          return check
        },
        onward,
      )
      expect(steps).toBeGreaterThan(0)
    }
  })
})
