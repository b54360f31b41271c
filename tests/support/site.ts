import path from 'node:path'
import pino from 'pino'
import request from 'supertest'
import { createApp } from '../../server/app.ts'
import { createAttempts } from '../../server/auth/attempts.ts'
import { createSecrets, type HashCost } from '../../server/auth/scrypt.ts'
import { hashToken } from '../../server/auth/tokens.ts'
import { readConfig } from '../../server/config.ts'
import { openLibrary } from '../../server/library.ts'
import { createRandom } from '../../server/statistics/random.ts'
import type { Database } from '../../server/storage/engine/database.ts'
import { schemaVersion } from '../../server/storage/engine/migrate.ts'
import { createStorage, type Role } from '../../server/storage/storage.ts'
import { createTimes } from '../../server/times.ts'
import type { Deps } from '../../server/web/deps.ts'
import { createNodeHost } from '../../server/web/host/node-host.ts'
import { openPractice } from '../../server/web/host/node-practice.ts'
import type { Views } from '../../server/web/host/print-views.ts'
import { migratedDatabase, migrations } from './migrated.ts'
import { Visitor } from './visitor.ts'

const root = path.join(import.meta.dirname, '../..')

/** A few people, enough to remember. All share one PIN. */
export const people = {
  wren: { id: 'wren', name: 'Wren Aldous', role: 'technician' },
  moss: { id: 'moss', name: 'Moss Tarrick', role: 'technician' },
  isla: { id: 'isla', name: 'Isla Verrin', role: 'engineer' },
  odo: { id: 'odo', name: 'Odo Pell', role: 'author' },
  rue: { id: 'rue', name: 'Rue Hask', role: 'reviewer' },
} as const satisfies Record<string, { id: string; name: string; role: Role }>

export const pin = '2580'
/** Hundredths of a millisecond; only tests may be so careless. */
const cheapHash: HashCost = { log2N: 4, r: 1, p: 1 }

export interface Site {
  deps: Deps
  db: Database
  app: ReturnType<typeof createApp>
  /** Moves the clock on. */
  pass(minutes: number): void
  /** Signs in by the form, as a browser would. */
  as(person: keyof typeof people): Promise<Visitor>
  /** Somebody with the depot's tablet in hand, where a PIN works. */
  visitor(): Visitor
  /** Somebody with any other browser. */
  stranger(): Visitor
}

/** The real application on a database in memory, or in the file given, with the small test knowledge, one site and two positions. */
export async function makeSite(
  options: {
    knowledgeDir?: string
    env?: Record<string, string>
    empty?: boolean
    demoNotice?: string
    database?: string
    /** In place of the program's own. */
    views?: Views
    /** `standardCost` for tests that are about hashing, or that act while a hash is worked out. */
    hashCost?: HashCost
  } = {},
): Promise<Site> {
  let now = Date.parse('2026-11-02T01:00:00Z')
  const clock = () => {
    now += 10
    return new Date(now)
  }
  const knowledgeDir = options.knowledgeDir ?? path.join(root, 'tests/support/knowledge')
  const config = readConfig({ LOG_LEVEL: 'silent', KNOWLEDGE_DIR: knowledgeDir, ...options.env })
  const db = migratedDatabase(clock().toISOString(), options.database)
  const storage = createStorage(db, clock, { repeatWindowDays: config.repeatWindowDays })
  const library = openLibrary(storage, knowledgeDir)
  const viewsDir = path.join(root, 'views')
  const deps: Deps = {
    host: createNodeHost(config, viewsDir),
    config,
    storage,
    library,
    clock,
    log: pino({ level: options.env?.LOG_LEVEL ?? 'silent' }),
    times: createTimes(config.timeZone),
    attempts: createAttempts(clock),
    secrets: createSecrets(options.hashCost ?? cheapHash),
    schemaVersion: () => schemaVersion(db),
    practice: openPractice({ file: ':memory:', migrations, clock, chance: createRandom }),
    viewsDir,
    demoNotice: options.demoNotice ?? null,
  }
  if (!options.empty) await fill(deps)
  const app = createApp(deps, options.views)
  const stranger = () => new Visitor(request.agent(app))
  const visitor = () => onTablet(stranger(), config.cookieSecure)
  return {
    deps,
    db,
    app,
    pass: minutes => {
      now += minutes * 60_000
    },
    visitor,
    stranger,
    async as(person) {
      const someone = visitor()
      await someone.post('/sign-in', { name: people[person].name, pin })
      return someone
    },
  }
}

export const token = 'the token of the test tablet'

/** As an engineer's enrolling would have left it. */
function onTablet(someone: Visitor, secure: boolean): Visitor {
  const name = secure ? '__Host-tablet' : 'tablet'
  someone.agent.jar.setCookie(`${name}=${encodeURIComponent(token)}; Path=/`, '127.0.0.1', '/')
  return someone
}

async function fill({ storage, secrets }: Deps): Promise<void> {
  const pinHash = await secrets.hash(pin)
  for (const person of Object.values(people)) storage.people.create({ ...person, pinHash })
  storage.tablets.create({ id: 'van', name: 'Van 3', tokenHash: hashToken(token), enrolledBy: 'isla' })
  storage.tablets.create({ id: 'other', name: 'Van 4', tokenHash: 'unknown', enrolledBy: 'isla' })
  storage.sites.create({
    id: 'site',
    name: 'Wendle Halt',
    line: 'Shore line',
    mileage: '12 m 40 ch',
    access: 'Gate by the lane',
  })
  const facts = { direction: 'normal', 'cable length': '120' }
  const common = {
    siteId: 'site',
    equipment: 'small-transmitter',
    indicated: true,
    inService: '2020-01-01T00:00:00.000Z',
  }
  storage.positions.create({
    ...common,
    id: 'up',
    name: 'Overspeed loops, up',
    plate: 'WH-3-U',
    outOfService: null,
    facts,
  })
  storage.positions.create({
    ...common,
    id: 'down',
    name: 'Overspeed loops, down',
    plate: 'WH-3-D',
    outOfService: null,
    facts,
  })
  storage.units.create({ id: 'unit', kind: 'transmitter module', serial: 'T100', variant: 'N1' })
  storage.units.fit({ id: 'fit', unitId: 'unit', positionId: 'up', fittedAt: '2024-05-01T00:00:00.000Z' })
}
