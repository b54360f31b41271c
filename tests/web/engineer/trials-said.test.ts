import { expect, it } from 'vitest'
import { TRIAL_RESULT_OF_ALL } from '../../../server/practice/trials/trial-results.ts'
import { trialsSaid } from '../../../server/web/engineer/review/trials-table.ts'

// Made-up figures: only the words are tried.
const all = {
  ...TRIAL_RESULT_OF_ALL,
  reached: [0.81, 0.79, 0.83],
  reachedByAuthor: [0.85, 0.83, 0.87],
} as const

it('says plainly whether the suggestions gain anything where the tree is wrong', () => {
  const said = (minutes: [number, number, number]) => trialsSaid({ ...all, minutes })
  expect(said([1.05, 1.02, 1.08])).toBe(
    'Of these faults the suggestions found 81 %, the tree’s own order 85 %. They took 1.05 times its minutes: here they gain nothing.',
  )
  expect(said([0.99, 0.95, 1.03])).toMatch(/0\.99 times its minutes, which may be chance\.$/)
  expect(said([0.8, 0.75, 0.85])).toMatch(/They took 0\.80 times its minutes\.$/)
})
