import type { Logger } from 'pino'
import type { Attempts } from '../auth/attempts.ts'
import type { Secrets } from '../auth/secrets.ts'
import type { Config } from '../config.ts'
import type { Quality } from '../diagnosis/judging/quality.ts'
import type { ReadOptions, Table } from '../exchange/table.ts'
import type { Library } from '../library.ts'
import type { ToJudge } from '../review/judge-ranking.ts'
import type { ToWeigh, Weighed } from '../review/worth-of-missing.ts'
import type { BackupState } from '../storage/safekeeping/backup.ts'
import type { Storage } from '../storage/storage.ts'
import type { Times } from '../times.ts'

/** What each host does in a way of its own. */
export interface Host {
  /** Keeps the bytes of a picture for good; gives their SHA-256. */
  keepPicture(bytes: Uint8Array): string
  /** The bytes of a picture; null when its file is missing. */
  pictureBytes(sha256: string): Uint8Array | null
  /** Where the picture's file is. */
  picturePath(sha256: string): string
  /** All style sheets in one text, for a page that is saved as one file. */
  styleSheets(): string
  /** The knowledge folder's own list of sources, as Markdown; null when it has none. */
  listOfSources(): string | null
  /** Reads the rows of a file apart from the program. Rejects with Refused. */
  readTable(bytes: Uint8Array, options?: ReadOptions): Promise<Table>
  /** Judges the ranking beside the program, and says when it is done: null when it could not be. */
  judgeRanking(asked: ToJudge, done: (quality: Quality | null) => void): void
  /** Weighs beside the program what is missing at the depot; null when it could not. */
  weighMissing(asked: ToWeigh, done: (weighed: Weighed[] | null) => void): void
  /** Runs when other requests have had their turn. */
  whenIdle(run: () => void): void
}

/** Everything a handler may use; made once in start.ts. */
export interface Deps {
  host: Host
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
  /** What is the matter with the database's file, for engineers; null or missing when nothing is. */
  databaseTrouble?: () => string | null
  viewsDir: string
  /** Words under the page head while the program runs on made-up data; null on real data. */
  demoNotice: string | null
}
