// Acknowledged writes that are gone, and other damage, after a writing process was killed two hundred times.

import { killWriters } from '../storage/kill.ts'
import type { Bench } from './run.ts'

const KILLS = 200

export const benches: Bench[] = [
  {
    name: 'kill-200',
    unit: 'lost writes',
    goal: { at: 'most', value: 0 },
    async run() {
      const { acknowledged, damage } = await killWriters(KILLS)
      if (acknowledged < KILLS)
        throw new Error(`Only ${acknowledged} writes were acknowledged: nothing is shown by that.`)
      for (const line of damage) console.error(line)
      return damage.length
    },
  },
]
