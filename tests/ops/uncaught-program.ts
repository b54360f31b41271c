// The program with a request that never ends, and errors that nothing catches, thrown when asked for by a message.

import pino from 'pino'
import { readConfig } from '../../server/config.ts'
import { catchUncaught, patience } from '../../server/ops/uncaught.ts'
import { run } from '../../server/start.ts'

const config = readConfig({ PORT: '0', KNOWLEDGE_DIR: 'tests/support/knowledge' })
const running = await run(config, ':memory:', { demoNotice: null, log: pino({ level: 'error' }) })
catchUncaught(running.around, { ...patience, cutOffMs: 500, leastUptimeMs: 0 })

const { storage } = running.deps
process.on('message', what => {
  setImmediate(() => {
    if (what === 'promise') void Promise.reject(new Error('from a promise'))
    else if (what === 'disk') throw Object.assign(new Error('torn'), { code: 'SQLITE_CORRUPT' })
    else if (what === 'shared') storage.commits.share(() => fail('in a shared commit'))
    else fail('from a callback')
  })
})

function fail(where: string): never {
  throw new Error(where)
}

process.send?.(running.address)
