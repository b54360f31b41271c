import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import pino from 'pino'
import { afterEach, beforeEach, expect, it } from 'vitest'
import { scheduleBackups } from '../../../server/ops/scheduled-backups.ts'
import { listBackups } from '../../../server/storage/safekeeping/backup-folder.ts'
import { makeFault } from '../make.ts'

let dir: string
beforeEach(() => {
  dir = mkdtempSync(join(tmpdir(), 'fourfoot-scheduled-'))
})
afterEach(() => rmSync(dir, { recursive: true }))

const schedule = (backupHours: number, now: Date) => {
  const made = { dataDir: dir, backupDir: join(dir, 'backups'), backupKeep: 2, backupHours }
  return scheduleBackups({ ...made, clock: () => now, log: pino({ level: 'silent' }) })
}

it('makes a backup in a process of its own when one is due, and not before the next is', async () => {
  const made = makeFault(join(dir, 'fourfoot.db'))
  const backups = schedule(24, new Date())
  expect(backups.state()).toEqual({ newestAt: null, trouble: null })
  await backups.tick()
  expect(backups.state()).toEqual({ newestAt: expect.any(String), trouble: null })
  await backups.tick()
  expect(listBackups(join(dir, 'backups'))).toHaveLength(1)
  backups.stop()
  made.db.close()
})

it('says what went wrong, so that it can be shown', async () => {
  const backups = schedule(24, new Date())
  await backups.tick()
  expect(backups.state().trouble).toMatch(/There is no database/)
  writeFileSync(join(dir, 'fourfoot.db'), 'x'.repeat(9000))
  await backups.tick()
  expect(backups.state().trouble).toMatch(/not a database/)
  backups.stop()
})

it('makes none at 0', async () => {
  const backups = schedule(0, new Date())
  await backups.tick()
  expect(backups.state()).toEqual({ newestAt: null, trouble: null })
  backups.stop()
})
