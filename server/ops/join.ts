// npm run join -- [NAME=]FILE [NAME=]FILE…: the backups of several depots in one throw-away database, with the program
// on it for looking: the review pages over all depots. Each depot is named by NAME, or by the file's own. Answers this
// machine alone, takes nothing in but a sign-in, and is gone with Ctrl-C. The backups are only read.

import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { newSetupCode } from '../auth/setup-code.ts'
import { hashToken } from '../auth/tokens.ts'
import { closeOnSignal, root, run } from '../start.ts'
import { readMigrations } from '../storage/engine/migration-files.ts'
import { BackupError } from '../storage/safekeeping/backup-error.ts'
import { type DepotBackup, joinBackups } from '../storage/safekeeping/join.ts'
import { type Command, runCommand } from './command.ts'

const notice = 'Several depots’ backups, to look at. Nothing can be recorded here.'

await runCommand({}, async ({ config, positionals }: Command) => {
  const backups = positionals.map(depotOf)
  if (backups.length < 2)
    throw new BackupError('Name two backups or more: npm run join -- NAME=FILE NAME=FILE')
  const dir = mkdtempSync(path.join(tmpdir(), 'fourfoot-joined-'))
  process.once('exit', () => rmSync(dir, { recursive: true, force: true }))
  const database = path.join(dir, 'joined.db')
  const joined = await joinBackups(
    backups,
    database,
    readMigrations(path.join(root, 'migrations')),
    new Date(),
  )
  for (const { depot, positions, faults } of joined)
    console.log(`${depot}: ${positions} positions, ${faults} faults`)
  const here = { ...config, dataDir: dir, backupHours: 0, host: '127.0.0.1' }
  const running = await run(here, database, { demoNotice: notice, lookOnly: true })
  closeOnSignal(running)
  const code = newSetupCode()
  running.deps.storage.setupCodes.createRescue(hashToken(code.replaceAll('-', '')))
  console.log(`To look, make yourself an account at ${running.address}/setup with the code ${code}`)
  console.log(`Then ${running.address}/review has all depots. Ctrl-C ends it, and nothing is kept.`)
})

function depotOf(given: string): DepotBackup {
  const [, name, file = given] = /^([^=/]+)=(.+)$/.exec(given) ?? []
  return { depot: name ?? path.basename(file, '.db'), file }
}
