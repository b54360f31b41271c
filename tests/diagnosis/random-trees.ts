// Random fault trees, and random findings made on them.

import fc from 'fast-check'
import type { Check, Knowledge } from '../../server/knowledge/types.ts'
import type { Finding } from '../../server/walk/record.ts'
import { found } from './found.ts'
import { type CheckPart, knowledgeOf } from './trees.ts'

const labels = ['in range', 'below', 'above', 'none', 'cannot tell']

/** `least` to `most` checks; rows lead to later checks, causes or an end, so that walks end. */
export function randomTrees(most: number, least = 1): fc.Arbitrary<Knowledge> {
  return fc.integer({ min: least, max: most }).chain(count => {
    const row = fc.oneof(
      { weight: 4, arbitrary: fc.integer({ min: 1, max: 3 }).map(ahead => ({ ahead, cause: ahead })) },
      { weight: 4, arbitrary: fc.nat({ max: 5 }).map(cause => ({ ahead: 0, cause })) },
      { weight: 1, arbitrary: fc.constant({ ahead: 0, cause: -1 }) },
    )
    const check = fc.record({
      rows: fc.array(row, { minLength: 2, maxLength: labels.length }),
      minutes: fc.option(fc.nat({ max: 12 }), { freq: 6 }),
      access: fc.constantFrom('open the case', 'at the loops', null, null),
      disturbs: fc.constantFrom(null, null, null, 'the link is out'),
      slip: fc.option(fc.constantFrom(0, 0.01, 0.2, 1), { freq: 2 }),
    })
    const shares = fc.array(fc.nat({ max: 9 }), { minLength: 6, maxLength: 6 })
    return fc
      .tuple(fc.array(check, { minLength: count, maxLength: count }), shares)
      .map(([checks, given]) => {
        const parts = checks.map((part, index): [string, CheckPart] => [
          `c${index}`,
          {
            ...part,
            rows: Object.fromEntries(
              part.rows.map((own, at) => [labels[at] ?? '', targetOf(own, index, count)]),
            ),
          },
        ])
        return knowledgeOf(
          { dead: { checks: Object.fromEntries(parts) } },
          Object.fromEntries(given.map((share, index) => [`k${index}`, { share }])),
          [
            { name: 'open the case', minutes: 3, needs: null },
            { name: 'at the loops', minutes: 12, needs: 'line blockage' },
          ],
        )
      })
  })
}

function targetOf({ ahead, cause }: { ahead: number; cause: number }, from: number, count: number): string {
  if (ahead > 0 && from + ahead < count) return `c${from + ahead}`
  return cause < 0 ? '.nothing' : `!k${cause}`
}

/** Findings at some of the tree's checks, in any order, contradictory ones too. */
export function findingsAt(knowledge: Knowledge): fc.Arbitrary<Finding[]> {
  const checks = [...(knowledge.trees.get('dead')?.checks.values() ?? [])]
  return fc
    .shuffledSubarray(checks)
    .chain(picked =>
      fc.tuple(...picked.map(check => fc.nat({ max: check.rows.length - 1 }).map(row => at(check, row)))),
    )
    .map(findings => findings.map((finding, index) => ({ ...finding, seq: index + 1 })))
}

function at(check: Check, row: number): Finding {
  return found(check.slug, check.rows[row]?.label ?? '')
}
