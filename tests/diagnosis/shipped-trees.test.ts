import { describe, expect, it } from 'vitest'
import { suggesting } from '../../server/diagnosis/judging/replay.ts'
import { exactOrder } from '../../server/diagnosis/ordering/exact.ts'
import { searchOrder } from '../../server/diagnosis/ordering/next-check.ts'
import { allowed, settled } from '../../server/diagnosis/ordering/plan.ts'
import { run } from '../../server/diagnosis/ordering/run.ts'
import { noHistory } from '../../server/diagnosis/ranking/cause-counts.ts'
import { rank } from '../../server/diagnosis/ranking/rank.ts'
import { compile } from '../../server/knowledge/compile.ts'
import { readKnowledge } from '../../server/knowledge/load.ts'

const { knowledge } = compile(readKnowledge('knowledge').files)

describe('in each tree that comes with the program', () => {
  it.each([...(knowledge?.trees.keys() ?? [])])('%s: neither order ever breaks a rule of the tree', tree => {
    if (!knowledge) throw new Error('The knowledge folder has errors.')
    const search = searchOrder(knowledge, tree, [], rank(knowledge, tree, [], noHistory))
    if (!search) throw new Error(`There is no tree “${tree}”.`)
    const { plan, standing, onward, author } = search
    for (const policy of [author.policy, suggesting(search)]) {
      let steps = 0
      run(
        plan,
        standing,
        here => {
          const check = policy(here)
          if (check >= 0 && !here.done[check]) {
            expect(allowed(plan, here, check), search.l.scope.checks[check]?.title).toBe(true)
            steps += 1
          }
          return check
        },
        onward,
      )
      expect(steps).toBeGreaterThan(0)
    }
  })

  it.each([...(knowledge?.trees.keys() ?? [])])('%s: some order leads on from wherever it has led', tree => {
    if (!knowledge) throw new Error('The knowledge folder has errors.')
    const search = searchOrder(knowledge, tree, [], rank(knowledge, tree, [], noHistory))
    if (!search) throw new Error(`There is no tree “${tree}”.`)
    const { plan, standing, onward } = search
    const follow = suggesting(search)
    const stuck: string[] = []
    run(
      plan,
      standing,
      here => {
        const check = follow(here)
        const best = exactOrder(settled(plan, here), here, 2_000)
        if (best?.expected === Number.POSITIVE_INFINITY) stuck.push(search.l.scope.checks[check]?.title ?? '')
        return check
      },
      onward,
    )
    expect(stuck).toEqual([])
  })
})
