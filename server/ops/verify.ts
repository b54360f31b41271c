// npm run verify: whether the database still says what the program wrote. Reads only; the program may be running.
//   npm run verify [-- FILE] [--known HASH]

import { existsSync } from 'node:fs'
import path from 'node:path'
import { parseArgs } from 'node:util'
import { readConfig } from '../config.ts'
import { explains } from '../start.ts'
import { openPlain } from '../storage/engine/database.ts'
import { verifyDatabase } from '../storage/safekeeping/verify.ts'

const options = { known: { type: 'string' } } as const

try {
  const { values, positionals } = parseArgs({ options, allowPositionals: true })
  const file = positionals[0] ?? path.join(readConfig(process.env).dataDir, 'fourfoot.db')
  if (!existsSync(file)) throw new Error(`There is no database at ${file}.`)
  process.exitCode = tell(file, values.known ?? null)
} catch (error) {
  if (!explains(error)) console.error(error instanceof Error ? error.message : error)
  process.exitCode = 1
}

function tell(file: string, known: string | null): number {
  const db = openPlain(file, { readonly: true })
  const { problems, entries, rows, signatures, head } = verifyDatabase(db, known)
  db.close()
  for (const problem of problems) console.error(problem)
  if (problems.length > 0) return 1
  console.log(`Everything holds: ${rows} rows, ${entries} entries in the trail, ${signatures} signatures.`)
  if (head) console.log(`Keep this hash elsewhere, to verify against later: ${head}`)
  return 0
}
