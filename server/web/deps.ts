import type { Logger } from 'pino'
import type { Attempts } from '../auth/attempts.ts'
import type { Secrets } from '../auth/secrets.ts'
import type { Config } from '../config.ts'
import type { Quality } from '../diagnosis/judging/quality.ts'
import type { ReadOptions, Table } from '../exchange/table.ts'
import type { Library } from '../library.ts'
import type { Chance } from '../practice/chance.ts'
import type { ToJudge } from '../review/apart/judge-ranking.ts'
import type { ToWeigh, Weighed } from '../review/apart/worth-of-missing.ts'
import type { PracticeResults } from '../storage/practice/results.ts'
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

/** What practice needs of its host: databases of its own, apart from the depot's. */
export interface PracticeHost {
  /** An empty database for one exercise, in memory and gone with it. */
  open(): Storage
  /** What became of each person's exercises. */
  results: PracticeResults
  /** Chance that gives the same for the same seed. */
  chance(seed: string): Chance
}

/** Set where handlers answer about a hidden fault and no real one; `result`: id of the afterwards page once it ended. */
export interface Practising {
  result: string | null
  /** Where to say that one stands clear, while a train is signalled: the signal shows proceed. */
  train: string | null
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
  /** Null or missing where nobody can practise: on a tablet, and in practice itself. */
  practice?: PracticeHost | null
  practising?: Practising
  viewsDir: string
  /** Words under the page head while the program runs on made-up data; null on real data. */
  demoNotice: string | null
  /** Nothing is taken in but what signing in needs. */
  lookOnly?: boolean
}
