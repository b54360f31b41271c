// The program on the demo railway.

import path from 'node:path'
import { readConfig } from '../config.ts'
import { type Running, run } from '../start.ts'
import { loadDemo } from './load.ts'
import { demoPeople } from './railway/people.ts'

const notice = 'Demo: this railway, its people and its limits are made up. Never use it on a real one.'

/** Serves the demo's database in `dir`, which is made and filled when it is empty. Throws what `run` throws. */
export function serveDemo(dir: string, env: NodeJS.ProcessEnv): Promise<Running> {
  const config = readConfig({ LOG_LEVEL: 'warn', ...env })
  return run({ ...config, dataDir: dir }, path.join(dir, 'demo.db'), {
    demoNotice: notice,
    prepare: async (storage, library) => {
      if (storage.people.count() > 0) return
      const { knowledge, id } = library.current()
      await loadDemo(storage, knowledge, id, { seed: 1, now: new Date() })
    },
  })
}

/** Prints where it is, and the people to sign in as. */
export function announce({ address }: Running, lastLine: string): void {
  console.log(`Fourfoot’s demo is at ${address}`)
  console.log('Sign in as:')
  for (const { name, role, pin } of demoPeople)
    console.log(`  ${name.padEnd(20)} ${role.padEnd(12)} PIN ${pin}`)
  console.log(lastLine)
}
