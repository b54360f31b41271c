import type { Logger } from 'pino'
import type { Attempts } from '../auth/attempts.ts'
import type { Secrets } from '../auth/secrets.ts'
import type { Config } from '../config.ts'
import type { Library } from '../library.ts'
import type { BackupState } from '../storage/safekeeping/backup.ts'
import type { Storage } from '../storage/storage.ts'
import type { Times } from '../times.ts'

/** Everything a handler may use; made once in main.ts. */
export interface Deps {
  config: Config
  storage: Storage
  library: Library
  clock: () => Date
  /** Shows times in the depot's time zone. */
  times: Times
  log: Logger
  /** Slows down wrong guesses. */
  attempts: Attempts
  /** Hashes and verifies PINs and passwords. */
  secrets: Secrets
  schemaVersion: () => number
  /** How backups stand; null or missing where none are made. */
  backups?: () => BackupState | null
  viewsDir: string
  /** Words under the page head while the program runs on made-up data; null on real data. */
  demoNotice: string | null
}
