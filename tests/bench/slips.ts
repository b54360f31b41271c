import { type Typed, typedSlips, typedTruly } from '../knowledge/slips.ts'

const TURNS = 1000

/** Readings typed at every check of the knowledge, with a slip and without, and how many of 100 are asked about. */
export const benches = [
  {
    ...{ name: 'slips-caught', unit: 'of 100 slips', goal: { at: 'least' as const, value: 95 } },
    run: () => askedOf100(typedSlips(TURNS, 'bench')),
  },
  {
    ...{ name: 'true-readings-asked', unit: 'of 100 readings', goal: { at: 'most' as const, value: 2 } },
    run: () => askedOf100(typedTruly(TURNS, 'bench')),
  },
]

function askedOf100(typed: Typed[]): number {
  return (100 * typed.filter(({ asked }) => asked).length) / typed.length
}
