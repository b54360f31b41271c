// Acknowledged writes that are gone, and other damage, after two hundred kills: of a process that writes all there is to
// write, and of the whole program while tablets record.

import { killWriters } from '../storage/engine/kill.ts'
import { killServers } from '../web/host/kill-server.ts'
import type { Bench } from './run.ts'

const WRITERS = 140
const SERVERS = 60

export const benches: Bench[] = [
  {
    name: 'kill-200',
    unit: 'lost writes',
    goal: { at: 'most', value: 0, counted: true },
    async run() {
      const killed = [await killWriters(WRITERS), await killServers(SERVERS)]
      for (const { kills, acknowledged, damage } of killed) {
        console.error(`  ${kills} kills, ${acknowledged} writes acknowledged before`)
        if (acknowledged < kills)
          throw new Error(`Only ${acknowledged} writes were acknowledged: nothing is shown by that.`)
        for (const line of damage) console.error(line)
      }
      return killed.reduce((sum, { damage }) => sum + damage.length, 0)
    },
  },
]
