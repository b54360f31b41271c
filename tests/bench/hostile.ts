// How many of at least five hundred hostile files and requests end the program, hold it up for a second or are answered
// with a fault of ours.

import { tryHostile } from '../attack/hostile/try-all.ts'
import type { Bench } from './run.ts'

const INPUTS = 600

export const benches: Bench[] = [
  {
    name: 'hostile-inputs',
    unit: 'that end, stall over 1 s or leave a 500',
    goal: { at: 'most', value: 0, counted: true },
    async run() {
      const { tried, bad } = await tryHostile(INPUTS)
      console.error(`  ${tried} hostile files and requests tried`)
      if (tried < 500) throw new Error(`Only ${tried} were tried.`)
      for (const line of bad) console.error(`  ${line}`)
      return bad.length
    },
  },
]
