// Backups made while the program runs: in a process of their own, so that no request waits for them. Whatever goes wrong
// with them is told, and never ends the program.

import { spawn } from 'node:child_process'
import path from 'node:path'
import type { Logger } from 'pino'
import type { BackupState } from '../storage/safekeeping/backup.ts'
import { type Backup, listBackups, sweepParts } from '../storage/safekeeping/backup-folder.ts'

export interface ScheduledBackups {
  /** Looks at the folder; never throws. */
  state(): BackupState
  /** Makes one now if one is due; resolves when it is done, and never rejects. */
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
  /** Whether the file under the database's name is another than the one in use: it is not backed up then. */
  isMoved?: () => boolean
  /** What makes a backup, and how long it may take; the command itself and two hours unless given. */
  script?: string
  limitMs?: number
}

const EVERY_MS = 5 * 60_000
const LIMIT_MS = 2 * 3_600_000
const HOUR_MS = 3_600_000

export function scheduleBackups(schedule: Schedule): ScheduledBackups {
  const { backupHours, backupDir, clock, log } = schedule
  const look = createLook(backupDir)
  const backups = createMaking(schedule, look)
  const startedAt = performance.now()

  function state(): BackupState {
    const { newest, trouble } = look()
    const newestAt = newest?.at ?? null
    if (backupHours === 0) return { newestAt, trouble }
    const failed = backups.failure()
    const said = failed && `The last backup failed: ${failed}`
    const waitedMs = performance.now() - startedAt
    return { newestAt, trouble: trouble ?? said ?? ageWords(newestAt, clock(), { backupHours, waitedMs }) }
  }

  let running = false
  async function tick(): Promise<void> {
    if (backupHours === 0 || running || schedule.isMoved?.()) return
    running = true
    try {
      const looked = look()
      if (looked.trouble) log.error({ trouble: looked.trouble }, 'the backups are in trouble')
      if (!looked.unusable) await backups.makeIfDue(looked.newest)
    } catch (error) {
      backups.fail(error)
    } finally {
      running = false
    }
  }

  const timer = setInterval(() => void tick(), EVERY_MS)
  timer.unref()
  return { state, tick, stop: () => clearInterval(timer) }
}

/** Makes backups, and remembers whether the last one worked. */
function createMaking(schedule: Schedule, look: () => Look) {
  const { backupHours, clock, log } = schedule
  let failed: string | null = null
  /** On a clock that nobody sets. */
  let madeAt: number | null = null

  function isDue(newest: Backup | undefined): boolean {
    if (!newest) return true
    // A clock that was put back must not keep the next one waiting for days.
    const age = Math.abs(clock().getTime() - Date.parse(newest.at))
    return (madeAt === null ? age : performance.now() - madeAt) >= backupHours * HOUR_MS
  }

  return {
    failure: () => failed,
    fail(error: unknown) {
      failed = error instanceof Error ? error.message : String(error)
      log.error({ err: error }, 'the backup failed')
    },
    async makeIfDue(before: Backup | undefined) {
      if (!isDue(before)) return
      failed = await runBackup(schedule)
      const { newest } = look()
      if (newest && newest.seq > (before?.seq ?? 0)) madeAt = performance.now()
      if (failed) log.error({ trouble: failed }, 'the backup failed')
      else log.info({ newestAt: newest?.at }, 'a backup was made and verified')
    },
  }
}

interface Look {
  newest: Backup | undefined
  /** The folder can't be read. */
  unusable: boolean
  trouble: string | null
}

/** Looks at the folder, and remembers what was there: backups that are gone are not a folder without any. */
function createLook(dir: string): () => Look {
  let seen = -1
  return () => {
    try {
      const [newest] = listBackups(dir)
      const isGone = (newest?.seq ?? -1) < seen
      seen = Math.max(seen, newest?.seq ?? -1)
      const trouble = isGone
        ? `The backups that were in ${dir} are gone: see whether its disk is there.`
        : null
      return { newest, unusable: false, trouble }
    } catch (error) {
      const trouble = error instanceof Error ? error.message : String(error)
      return { newest: undefined, unusable: true, trouble }
    }
  }
}

function ageWords(
  newestAt: string | null,
  now: Date,
  { backupHours, waitedMs }: { backupHours: number; waitedMs: number },
): string | null {
  const most = 2 * backupHours * HOUR_MS
  if (newestAt === null) return waitedMs > most ? 'There is no backup yet.' : null
  const age = now.getTime() - Date.parse(newestAt)
  if (age < -HOUR_MS)
    return `The newest backup is dated ${newestAt}, in the future: set the machine’s clock right.`
  if (age <= most) return null
  const hours = Math.floor(age / HOUR_MS)
  return `The newest backup is ${hours < 48 ? `${hours} hours` : `${Math.floor(hours / 24)} days`} old.`
}

/** Null when it worked, else what the process said. One that does not end in time is killed. */
function runBackup(schedule: Schedule): Promise<string | null> {
  const { dataDir, backupDir, backupKeep, limitMs = LIMIT_MS } = schedule
  const script = schedule.script ?? path.join(import.meta.dirname, 'backup.ts')
  const env = {
    ...process.env,
    DATA_DIR: path.resolve(dataDir),
    BACKUP_DIR: backupDir,
    BACKUP_KEEP: String(backupKeep),
  }
  return new Promise(resolve => {
    const child = spawn(process.execPath, [script, '--unit='], { env, stdio: 'pipe' })
    let said = ''
    const limit = setTimeout(() => {
      child.kill('SIGKILL')
      // Not only once it has ended: one that waits for a dead disk can't even be killed.
      end(`it had not ended after ${Math.ceil(limitMs / 60_000)} minutes and was stopped.`)
    }, limitMs)
    const end = (trouble: string | null) => {
      clearTimeout(limit)
      resolve(trouble)
    }
    child.stderr.on('data', chunk => {
      said = (said + chunk).slice(-2000)
    })
    child.stdout.resume()
    child.once('error', error => end(error.message))
    child.once('close', code => {
      if (code !== 0 && child.pid) sweepAfter(backupDir, child.pid)
      end(code === 0 ? null : said.trim() || `it ended with ${code}`)
    })
  })
}

function sweepAfter(backupDir: string, pid: number): void {
  try {
    sweepParts(backupDir, { pid })
  } catch {
    // The folder's trouble is told by the next look at it.
  }
}
