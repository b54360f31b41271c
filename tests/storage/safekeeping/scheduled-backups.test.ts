import { mkdtempSync, readdirSync, rmSync, symlinkSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join, resolve } from 'node:path'
import pino from 'pino'
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { scheduleBackups } from '../../../server/ops/scheduled-backups.ts'
import { backUp } from '../../../server/storage/safekeeping/backup.ts'
import { listBackups } from '../../../server/storage/safekeeping/backup-folder.ts'
import { makeFault } from '../make.ts'

let dir: string
beforeEach(() => {
  dir = mkdtempSync(join(tmpdir(), 'fourfoot-scheduled-'))
})
afterEach(() => rmSync(dir, { recursive: true }))

const schedule = (
  backupHours: number,
  now: Date | (() => Date),
  more: { script?: string; limitMs?: number } = {},
) => {
  const made = { dataDir: dir, backupDir: join(dir, 'backups'), backupKeep: 2, backupHours }
  const clock = typeof now === 'function' ? now : () => now
  return scheduleBackups({ ...made, clock, log: pino({ level: 'silent' }), ...more })
}

const later = (hours: number) => new Date(Date.now() + hours * 3_600_000)

/** What is run in place of the backup. */
function script(text: string): string {
  const file = join(dir, 'script.mjs')
  writeFileSync(file, text)
  return file
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

describe('a folder of backups that can’t be used', () => {
  it.each<[string, () => void]>([
    ['a file in its place', () => writeFileSync(join(dir, 'backups'), 'a file')],
    ['a file in the place of the folder above', () => undefined],
    ['a link to itself', () => symlinkSync('backups', join(dir, 'backups'))],
  ])('is told and ends nothing: %s', async (what, spoil) => {
    const made = makeFault(join(dir, 'fourfoot.db'))
    spoil()
    const backupDir = what.includes('above') ? join(dir, 'fourfoot.db', 'backups') : join(dir, 'backups')
    const given = { dataDir: dir, backupDir, backupKeep: 2, backupHours: 24 }
    const backups = scheduleBackups({ ...given, clock: () => new Date(), log: pino({ level: 'silent' }) })
    expect(backups.state()).toEqual({
      newestAt: null,
      trouble: expect.stringMatching(/folder .*backups can’t be used \((ENOTDIR|ELOOP)\)/),
    })
    await expect(backups.tick()).resolves.toBeUndefined()
    expect(backups.state().trouble).toMatch(/can’t be used/)
    backups.stop()
    made.db.close()
  })

  it('works again once it is put right', async () => {
    const made = makeFault(join(dir, 'fourfoot.db'))
    writeFileSync(join(dir, 'backups'), 'a file')
    const backups = schedule(24, new Date())
    await backups.tick()
    rmSync(join(dir, 'backups'))
    await backups.tick()
    expect(backups.state()).toEqual({ newestAt: expect.any(String), trouble: null })
    backups.stop()
    made.db.close()
  })

  it('is told when the backups in it are gone, also once there is a new one', async () => {
    const made = makeFault(join(dir, 'fourfoot.db'))
    const backups = schedule(24, new Date())
    for (let n = 0; n < 2; n++) await backUp(made.db, dir, join(dir, 'backups'), new Date())
    expect(backups.state().trouble).toBeNull()
    rmSync(join(dir, 'backups'), { recursive: true })
    expect(backups.state().trouble).toMatch(/The backups that were in .* are gone/)
    await backups.tick()
    expect(listBackups(join(dir, 'backups'))).toHaveLength(1)
    expect(backups.state().trouble).toMatch(/are gone/)
    backups.stop()
    made.db.close()
  })
})

describe('the age of the newest backup', () => {
  it('is told from twice the interval on', async () => {
    const made = makeFault(join(dir, 'fourfoot.db'))
    await backUp(made.db, dir, join(dir, 'backups'), new Date())
    made.db.close()
    const troubleAt = (hours: number) => {
      const backups = schedule(24, later(hours))
      backups.stop()
      return backups.state().trouble
    }
    expect([troubleAt(1), troubleAt(47)]).toEqual([null, null])
    expect(troubleAt(49)).toBe('The newest backup is 2 days old.')
    expect(troubleAt(34 * 24 + 1)).toBe('The newest backup is 34 days old.')
    expect(troubleAt(-3)).toMatch(/^The newest backup is dated .*, in the future/)
  })

  it('is not what decides on the next, once one was made: a clock that jumps makes no more', async () => {
    const made = makeFault(join(dir, 'fourfoot.db'))
    let now = new Date()
    const backups = schedule(24, () => now)
    await backups.tick()
    for (const hours of [24 * 365, 0, -24 * 365, 24 * 365, 0]) {
      now = later(hours)
      await backups.tick()
    }
    expect(listBackups(join(dir, 'backups'))).toHaveLength(1)
    backups.stop()
    made.db.close()
  })
})

describe('a backup that does not end', () => {
  it('is killed, what it left is swept, and it is told', async () => {
    const left = join(dir, 'backups', 'fourfoot-000009-20260302T090000Z.db')
    const hangs = script(`
      import { mkdirSync, writeFileSync } from 'node:fs'
      mkdirSync(${JSON.stringify(join(dir, 'backups'))}, { recursive: true })
      writeFileSync(${JSON.stringify(left)} + '.' + process.pid + '.part', 'half')
      setInterval(() => {}, 1000)`)
    const backups = schedule(24, new Date(), { script: hangs, limitMs: 1_500 })
    await backups.tick()
    expect(backups.state().trouble).toMatch(/^The last backup failed: it had not ended after 1 minutes/)
    await vi.waitFor(() => expect(readdirSync(join(dir, 'backups'))).toEqual([]), 5_000)
    await backups.tick()
    backups.stop()
  })

  it('is made again by the next tick', async () => {
    const made = makeFault(join(dir, 'fourfoot.db'))
    const broken = script('process.exit(3)')
    const backups = schedule(24, new Date(), { script: broken })
    await backups.tick()
    expect(backups.state().trouble).toBe('The last backup failed: it ended with 3')
    writeFileSync(broken, `await import(${JSON.stringify(resolve('server/ops/backup.ts'))})`)
    await backups.tick()
    expect(backups.state()).toEqual({ newestAt: expect.any(String), trouble: null })
    backups.stop()
    made.db.close()
  })
})
