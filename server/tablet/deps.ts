// What handlers may use on a tablet: storage over the copy, the knowledge it carries, and refusals for the rest.

import { createAttempts } from '../auth/attempts.ts'
import { AppError } from '../errors.ts'
import type { Edition, Library } from '../library.ts'
import { clockOfActs } from '../storage/engine/acting.ts'
import type { Connection } from '../storage/engine/sql.ts'
import { createStorage } from '../storage/storage.ts'
import { createTimes } from '../times.ts'
import type { Deps, Host } from '../web/deps.ts'
import type { Copy } from '../web/tablet/copy.ts'

/** What a tablet keeps of a copy beside its tables. */
export type Surroundings = Omit<Copy, 'tables'>

export interface TabletDepsOptions {
  db: Connection
  about: Surroundings
  clock: () => Date
  log: Pick<Deps['log'], 'error' | 'warn' | 'info'>
}

/** Handlers' dependencies over a copy. `clock` is right: the tablet's own, put right by the depot's. */
export function createTabletDeps({ db, about, clock, log }: TabletDepsOptions): Deps {
  const { settings, schema } = about
  const storage = createStorage(db, clock, settings)
  const config: Deps['config'] = {
    protectionPhrases: [],
    isolationPhrases: [],
    ...settings,
    ...{ port: 0, host: '', dataDir: '', knowledgeDir: '', logLevel: 'silent', cookieSecure: false },
    ...{ trustProxy: 0, ratePerMinute: 0, backupHours: 0, backupKeep: 0, backupDir: '', keepSessionDays: 0 },
  }
  return {
    host,
    config,
    storage,
    library: libraryOf(about.editions),
    clock: clockOfActs(clock),
    times: createTimes(settings.timeZone),
    log: log as Deps['log'],
    attempts: createAttempts(clock),
    secrets: { hash: needsDepot, verify: needsDepot } as unknown as Deps['secrets'],
    schemaVersion: () => schema,
    viewsDir: '',
    demoNotice: about.demoNotice,
  }
}

function needsDepot(): never {
  throw new AppError('unavailable', 'This needs signal. Nothing was changed; do it again when there is some.')
}

const host: Host = {
  keepPicture: needsDepot,
  pictureBytes: needsDepot,
  picturePath: needsDepot,
  styleSheets: needsDepot,
  listOfSources: () => null,
  readTable: async () => needsDepot(),
  judgeRanking: (_asked, done) => done(null),
  weighMissing: (_asked, done) => done(null),
  whenIdle: run => void setTimeout(run),
}

/** The editions that were carried; another one is the depot's to give. */
function libraryOf(editions: Edition[]): Library {
  const [current] = editions
  if (!current) throw new Error('a copy without an edition')
  const byId = new Map(editions.map(edition => [edition.id, edition]))
  return {
    current: () => current,
    edition: id => byId.get(id) ?? needsDepot(),
    files: needsDepot,
    problems: () => [],
    folder: needsDepot,
    publish: needsDepot,
    withdraw: needsDepot,
  }
}
