// Backups made while the program runs: in a process of their own, so that no request waits for them.

import { spawn } from 'node:child_process'
import path from 'node:path'
import type { Logger } from 'pino'
import type { BackupState } from '../storage/safekeeping/backup.ts'
import { listBackups } from '../storage/safekeeping/backup-folder.ts'

export interface ScheduledBackups {
  state(): BackupState
  /** Makes one now if one is due; resolves when it is done. */
  tick(): Promise<void>
  stop(): void
}

interface Schedule {
  backupHours: number
  backupDir: string
  dataDir: string
  backupKeep: number
  clock: () => Date
  log: Logger
}

const EVERY_MS = 5 * 60_000

export function scheduleBackups(schedule: Schedule): ScheduledBackups {
  const { backupHours, backupDir, clock, log } = schedule
  let trouble: string | null = null
  let running: Promise<void> | null = null

  const newestAt = () => listBackups(backupDir)[0]?.at ?? null

  function isDue(): boolean {
    const newest = newestAt()
    // A clock that was put back must not keep the next one waiting for days.
    return newest === null || Math.abs(clock().getTime() - Date.parse(newest)) >= backupHours * 3_600_000
  }

  async function make(): Promise<void> {
    trouble = await runBackup(schedule)
    if (trouble) log.error({ trouble }, 'the backup failed')
    else log.info({ newestAt: newestAt() }, 'a backup was made and verified')
  }

  async function tick(): Promise<void> {
    if (backupHours === 0 || running || !isDue()) return
    running = make()
    await running
    running = null
  }

  const timer = setInterval(() => void tick(), EVERY_MS)
  timer.unref()
  return { state: () => ({ newestAt: newestAt(), trouble }), tick, stop: () => clearInterval(timer) }
}

/** Null when it worked, else what the process said. */
function runBackup({ dataDir, backupDir, backupKeep }: Schedule): Promise<string | null> {
  const script = path.join(import.meta.dirname, 'backup.ts')
  const env = {
    ...process.env,
    DATA_DIR: path.resolve(dataDir),
    BACKUP_DIR: backupDir,
    BACKUP_KEEP: String(backupKeep),
  }
  return new Promise(resolve => {
    const child = spawn(process.execPath, [script], { env, stdio: 'pipe' })
    let said = ''
    child.stderr.on('data', chunk => {
      said = (said + chunk).slice(-2000)
    })
    child.stdout.resume()
    child.once('error', error => resolve(error.message))
    child.once('close', code => resolve(code === 0 ? null : said.trim() || `it ended with ${code}`))
  })
}
