// The only place that wires: configuration, database, knowledge, app, listen, close.

import { mkdirSync } from 'node:fs'
import type { Server } from 'node:http'
import type { AddressInfo } from 'node:net'
import path from 'node:path'
import pino, { type Logger } from 'pino'
import { createApp } from './app.ts'
import { createAttempts } from './auth/attempts.ts'
import { createSecrets, type HashCost } from './auth/scrypt.ts'
import { newSetupCode } from './auth/setup-code.ts'
import { hashToken } from './auth/tokens.ts'
import { type Config, ConfigError, readConfig } from './config.ts'
import { reportProblems } from './knowledge/report.ts'
import { type Library, NoKnowledgeError, openLibrary } from './library.ts'
import { watchDatabase } from './ops/database-watch.ts'
import { scheduleBackups } from './ops/scheduled-backups.ts'
import { type Around, catchUncaught } from './ops/uncaught.ts'
import { createRandom } from './statistics/random.ts'
import { type Database, openDatabase, waitBriefly } from './storage/engine/database.ts'
import { type Migration, MigrationError, migrate, schemaVersion } from './storage/engine/migrate.ts'
import { readMigrations } from './storage/engine/migration-files.ts'
import { storageTrouble } from './storage/engine/trouble.ts'
import { backUp } from './storage/safekeeping/backup.ts'
import { BackupError } from './storage/safekeeping/backup-error.ts'
import { mustNotBeLost, setLeftAside } from './storage/safekeeping/first-start.ts'
import { createStorage, type Storage } from './storage/storage.ts'
import { createTimes } from './times.ts'
import type { Deps } from './web/deps.ts'
import { sweepLeftOver } from './web/engineer/bring-in/import-runs.ts'
import { slicesOf } from './web/engineer/bring-in/slices.ts'
import { missingSteps } from './web/engineer/first-steps/steps.ts'
import { closeHttpServer, createHttpServer, noteUnderWay } from './web/host/middleware/http-server.ts'
import { createNodeHost } from './web/host/node-host.ts'
import { openPractice } from './web/host/node-practice.ts'

export const root = path.join(import.meta.dirname, '..')

export interface Running {
  address: string
  deps: Deps
  close(): Promise<void>
  /** For errors that nothing catches. */
  around: Around
}

/**
 * Starts the program on real data. What stops a start is said in one line, without a stack. `fresh`: there is no
 * database any more and a new one is wanted.
 */
export async function start(env: NodeJS.ProcessEnv, { fresh = false } = {}): Promise<void> {
  try {
    const config = readConfig(env)
    const database = path.join(config.dataDir, 'fourfoot.db')
    mkdirSync(config.dataDir, { recursive: true })
    if (fresh) for (const line of setLeftAside(database, config.backupDir, new Date())) console.log(line)
    else mustNotBeLost(database, config.backupDir)
    const running = await run(config, database, {
      demoNotice: null,
      makeBackups: true,
    })
    closeOnSignal(running)
    catchUncaught(running.around)
    console.log(`Fourfoot is at ${running.address}`)
    offerSetup(running.deps.storage, running.address)
    logMissing(running.deps)
  } catch (error) {
    if (!explains(error)) throw error
    process.exitCode = 1
  }
}

export interface RunOptions {
  demoNotice: string | null
  /** Takes nothing in but what signing in needs. */
  lookOnly?: boolean
  /** Makes backups while it runs, and prunes old sessions at start. */
  makeBackups?: boolean
  /** Fills the database before anything listens. */
  prepare?: (storage: Storage, library: Library) => void | Promise<void>
  log?: Logger
  /** What hashing a PIN or password costs; the standard's cost when left out. */
  hashCost?: HashCost
}

/** Opens everything and listens. Throws what start explains. */
export async function run(config: Config, databasePath: string, options: RunOptions): Promise<Running> {
  const log = options.log ?? pino({ level: config.logLevel })
  const clock = () => new Date()
  const { db, migrations } = openMigrated(databasePath, clock)
  const practice = practiceBeside(databasePath, migrations, clock)
  const { watch, backups } = watchOver(db, databasePath, { config, clock, log, options })
  const storage = createStorage(db, clock, { ...config, mayCommit: watch.mayCommit })
  storage.trail.begin()
  waitBriefly(db)
  warnOfClock(storage, clock(), log)
  warnOfPlainHttp(config, log)
  const viewsDir = path.join(root, 'views')
  const base = {
    ...{ config, storage, clock, log, practice },
    host: createNodeHost(config, viewsDir),
    times: createTimes(config.timeZone),
    attempts: createAttempts(clock),
    secrets: createSecrets(options.hashCost),
    schemaVersion: () => schemaVersion(db),
    databaseTrouble: watch.trouble,
    viewsDir,
    ...{ demoNotice: options.demoNotice, lookOnly: options.lookOnly ?? false },
  }
  if (options.makeBackups) pruneOld(storage, config, clock())
  const library = openLibrary(storage, config.knowledgeDir)
  const deps: Deps = { ...base, library, backups: () => backups?.state() ?? null }
  await options.prepare?.(storage, library)
  const server = await listen(createApp(deps), config)
  void backups?.tick()
  void sweepLeftOver(deps)
  const close = () =>
    closeHttpServer(server).finally(() => {
      for (const running of [slicesOf(deps), watch, backups]) running?.stop()
      practice.close()
      db.close()
    })
  return { address: addressOf(server), deps, close, around: aroundOf(server, db, deps, close) }
}

function aroundOf(
  server: Server,
  db: Database,
  { log, storage }: Deps,
  close: () => Promise<void>,
): Running['around'] {
  return {
    log,
    close,
    noteUnderWay: () => noteUnderWay(server),
    distrust(error) {
      storage.commits.settle() // what waits is whole: each write is a savepoint of its own
      return db.inTransaction ? 'a transaction was left open' : storageTrouble(error)
    },
  }
}

function openMigrated(databasePath: string, clock: () => Date) {
  const db = openDatabase(databasePath)
  const migrations = readMigrations(path.join(root, 'migrations'))
  migrate(db, migrations, clock().toISOString())
  return { db, migrations }
}

/** What is kept of practice lies beside the depot's database, and none of it in there. */
function practiceBeside(databasePath: string, migrations: Migration[], clock: () => Date) {
  const file =
    databasePath === ':memory:' ? databasePath : path.join(path.dirname(databasePath), 'practice.db')
  return openPractice({ file, migrations, clock, chance: createRandom })
}

interface Watching {
  config: Config
  clock: () => Date
  log: Logger
  options: RunOptions
}

/** Backups, and a look at whether the database's file is still there; while it isn't, there is nothing to back up. */
function watchOver(db: Database, file: string, { config, clock, log, options }: Watching) {
  const save = async () => (await backUp(db, config.dataDir, config.backupDir, clock())).file
  const watch = watchDatabase({ file, log, save: options.makeBackups ? save : null })
  const isMoved = () => watch.trouble() !== null
  return { watch, backups: options.makeBackups ? scheduleBackups({ ...config, clock, log, isMoved }) : null }
}

/** Records keep their order of arrival, but their times would mislead. */
function warnOfClock(storage: Storage, now: Date, log: Logger): void {
  const newest = storage.trail.list({ limit: 1 })[0]?.at
  if (newest === undefined || Date.parse(newest) <= now.getTime() + 60_000) return
  log.warn(
    { now: now.toISOString(), newest },
    'the clock stands before the newest entry on record: set it right',
  )
}

/** What a fault well attended still needs here. */
function logMissing(deps: Deps): void {
  const toDo = missingSteps(deps)
  if (toDo.length > 0) deps.log.info({ toDo }, 'not all of the first steps are done: see /first-steps')
}

/** In plain http every PIN can be read on the network. */
function warnOfPlainHttp({ host, trustProxy }: Config, log: Logger): void {
  if (trustProxy > 0 || /^(localhost$|127\.|::1$)/.test(host)) return
  log.warn(
    { host },
    'this answers the network in plain http: put a proxy that speaks TLS in front, and set TRUST_PROXY',
  )
}

/** Sessions that ended long ago, and forms that were sent. */
function pruneOld(storage: Storage, { keepSessionDays }: Config, now: Date): void {
  storage.sentForms.prune(daysBefore(now, keepFormsDays))
  if (keepSessionDays > 0) storage.sessions.forget(daysBefore(now, keepSessionDays))
}

/** Nothing waits so long on a tablet to be sent again. */
const keepFormsDays = 60

function daysBefore(now: Date, days: number): string {
  return new Date(now.getTime() - days * 86_400_000).toISOString()
}

/** On the first start of real data, prints the code with which the first engineer's account is made. */
function offerSetup(storage: Storage, address: string): void {
  if (storage.people.count() > 0) return
  const code = newSetupCode()
  storage.setupCodes.create(hashToken(code.replaceAll('-', '')))
  console.log(
    `There are no accounts yet. Make the first engineer’s at ${address}/setup with the code ${code}`,
  )
}

/** Finishes the requests under way, then closes the database; a second signal ends at once. */
export function closeOnSignal(running: Running): void {
  const stop = () => {
    running.close().then(
      () => process.exit(0),
      () => process.exit(1),
    )
    process.once('SIGINT', () => process.exit(1))
    process.once('SIGTERM', () => process.exit(1))
  }
  process.once('SIGINT', stop)
  process.once('SIGTERM', stop)
}

/** Prints what stopped the start; false when it is not one of the things a start may meet. */
export function explains(error: unknown): boolean {
  if (error instanceof NoKnowledgeError) {
    console.error(reportProblems(error.problems))
    console.error(error.message)
    return true
  }
  const explained =
    error instanceof ConfigError || error instanceof MigrationError || error instanceof BackupError
  const words =
    explained && error instanceof Error ? error.message : (storageTrouble(error) ?? refused(error))
  if (words === null) return false
  console.error(words)
  return true
}

/** What the system refused, in words; null when the error is of another kind. */
function refused(error: unknown): string | null {
  if (!(error instanceof Error) || !('code' in error) || !('syscall' in error)) return null
  const { code, syscall } = error
  if (code === 'EADDRINUSE') return 'That port is in use. Set PORT to another one.'
  if (syscall === 'listen' && code === 'EACCES')
    return 'That port is not for this user. Set PORT to one above 1023.'
  if (syscall === 'listen' || syscall === 'getaddrinfo')
    return `HOST is no address of this machine (${code}). Set it to one, or to 0.0.0.0 for every network.`
  if (code === 'EACCES' || code === 'EROFS') return 'DATA_DIR can’t be written. Set it to another folder.'
  return syscall === 'mkdir' ? `DATA_DIR can’t be made (${code}). Set it to another folder.` : null
}

function listen(app: ReturnType<typeof createApp>, config: Config): Promise<Server> {
  return new Promise((resolve, reject) => {
    const server = createHttpServer(app)
    server.once('error', reject)
    server.listen(config.port, config.host, () => {
      server.off('error', reject)
      resolve(server)
    })
  })
}

function addressOf(server: Server): string {
  const { address, port, family } = server.address() as AddressInfo
  return `http://${family === 'IPv6' ? `[${address}]` : address}:${port}`
}
