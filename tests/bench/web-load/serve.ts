// The program as `npm start` runs it, on a database that is there; says its address, then its memory and the processor time
// it took when asked by a line on stdin. Usage: serve.ts DATABASE

import { createInterface } from 'node:readline'
import { readConfig } from '../../../server/config.ts'
import { run } from '../../../server/start.ts'

const began = performance.now()
const env = {
  PORT: '0',
  LOG_LEVEL: 'warn',
  RATE_PER_MINUTE: '0',
  SESSION_HOURS: '168',
  SESSION_IDLE_MINUTES: '1440',
}
const running = await run(readConfig(env), process.argv[2] ?? '', { demoNotice: null })
console.log(JSON.stringify({ address: running.address, ms: performance.now() - began }))
for await (const _ of createInterface({ input: process.stdin })) {
  const { user, system } = process.cpuUsage()
  global.gc?.() // for the memory, not counted in the processor time
  console.log(JSON.stringify({ ...process.memoryUsage(), cpuMs: (user + system) / 1000 }))
}
// Whoever started it has gone, or asks nothing more.
process.exit()
