// Acknowledged writes that are gone, and other damage, after two hundred kills: of a process that writes all there is to
// write, of the whole program while tablets record, and of one that publishes, brings in a file, makes or restores a
// backup, or migrates.

import { killWriters } from '../storage/engine/kill.ts'
import { killJobs } from '../storage/engine/kill-jobs.ts'
import { killServers } from '../web/host/kill-server.ts'
import type { Bench } from './run.ts'

const WRITERS = 90
const SERVERS = 40
const EACH_JOB = 14

export const benches: Bench[] = [
  {
    name: 'kill-200',
    unit: 'lost writes',
    goal: { at: 'most', value: 0, counted: true },
    async run() {
      const killed = [await killWriters(WRITERS), await killServers(SERVERS), await killJobs(EACH_JOB)]
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
