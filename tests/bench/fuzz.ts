// Long runs of what the tests try a little of: spoilt files drawn beside the author's text, and damaged workbooks.

import { readDamaged } from '../exchange/damaged.ts'
import { drawSpoilt } from '../web/author/spoilt.ts'
import type { Bench } from './run.ts'

const TURNS = 5_000
const SEED = 20_260_101

export const benches: Bench[] = [
  {
    ...{ name: 'fuzz-drawing', unit: 'wrong results', goal: { at: 'most', value: 0, counted: true } },
    run: () => {
      const { pictures, wrong } = drawSpoilt(TURNS, SEED)
      if (pictures < TURNS / 2) throw new Error(`Only ${pictures} pictures came of ${TURNS} turns.`)
      return counted(wrong)
    },
  },
  {
    ...{ name: 'fuzz-workbooks', unit: 'wrong results', goal: { at: 'most', value: 0, counted: true } },
    run: async () => counted((await readDamaged(1)).wrong),
  },
]

function counted(wrong: string[]): number {
  for (const line of wrong) console.error(`  ${line}`)
  return wrong.length
}
