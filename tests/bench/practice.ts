// How long one reading of practice takes: the model with what was done to it, at checks of all trees.

import { hideAt } from '../../server/practice/hide-at.ts'
import { showAt } from '../../server/practice/measured.ts'
import { createRandom } from '../../server/statistics/random.ts'
import { causesOf } from '../../server/web/practice/hiding.ts'
import type { Bench } from './run.ts'
import { shippedKnowledge } from './shared.ts'

/** Milliseconds of a reading, the median of all trees: each in a world of its own, so that nothing of it is worked out yet. */
function readingMs(): number {
  const knowledge = shippedKnowledge()
  const random = createRandom('practice readings')
  const times: number[] = []
  for (const tree of [...knowledge.trees.values()].filter(({ kind }) => kind === 'fault')) {
    const checks = [...tree.checks.values()].filter(({ does }) => does.kind === 'measure')
    const cause = causesOf(knowledge, tree)[0]
    const hidden = cause && hideAt({}, tree.slug, `${cause.equipment}/${cause.slug}`, random)
    if (!hidden) continue
    for (const check of checks) {
      const asking = { check, probes: null, done: true, instrument: null, expected: null }
      const world = structuredClone(hidden.world)
      const began = performance.now()
      showAt(asking, world, hidden.state, random)
      times.push(performance.now() - began)
    }
  }
  return times.sort((a, b) => a - b)[Math.floor(times.length * 0.5)] ?? Number.NaN
}

export const benches: Bench[] = [
  { name: 'practice-reading-ms', unit: 'ms', goal: { at: 'most', value: 20 }, run: readingMs },
]
