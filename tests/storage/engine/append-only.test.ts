import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import Sqlite from 'better-sqlite3'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { Database } from '../../../server/storage/engine/database.ts'
import type { Storage } from '../../../server/storage/storage.ts'
import { attendance, handover, makeFault, mine, observation, reading, swapRepair } from '../make.ts'

// Tables of what happened: no way of writing SQL may change or remove a row. `attendances` and `fittings` may end once,
// and a tree's withdrawal may be lifted once.
const appendOnly = [
  ...[
    'editions',
    'edition_files',
    'faults',
    'conditions',
    'findings',
    'disturbances',
    'restorations',
    'repairs',
  ],
  ...[
    'proofs',
    'identities',
    'hold_releases',
    'handovers',
    'handover_items',
    'handover_confirmations',
    'handover_withdrawals',
    'taken_over_items',
    'closures',
  ],
  ...['workshop_visits', 'delays', 'reviews', 'review_entries', 'known_spans'],
  ...['unit_holds', 'planned_changes'],
  ...['visits', 'visit_findings', 'visit_restorations', 'visit_ends', 'imports', 'imported_faults'],
  ...['daily_temperatures', 'given_up_imports', 'undone_imports', 'place_changes'],
  ...['shifts', 'late_acts'],
  ...['photos', 'engineer_notes', 'signatures', 'calibrations', 'suggestions', 'trail'],
  // What authors propose and the field reports.
  ...['proposals', 'proposal_files', 'proposal_writers', 'decisions', 'publications'],
  ...['field_reports', 'report_answers', 'report_receipts'],
]
const endOnly = ['attendances', 'fittings']
const changeable = [
  'people',
  'sessions',
  'setup_codes',
  'sites',
  'positions',
  'position_facts',
  'units',
  'instruments',
  'repeat_windows',
  'check_readings',
  'open_faults',
  'doubtful_faults',
  'proved_repairs',
  'fault_numbers',
  'visit_intervals',
  'tablets',
  'drafts',
  'draft_texts',
  'sent_forms',
  'not_in_force',
  'migrations',
]
const liftOnly = ['tree_withdrawals']

const dir = mkdtempSync(join(tmpdir(), 'fourfoot-append-'))
const file = join(dir, 'test.db')
let db: Database

beforeAll(() => {
  fill()
  db = new Sqlite(file) // a stranger's connection, with none of our pragmas
  db.pragma('foreign_keys = OFF')
  db.pragma('recursive_triggers = OFF')
})
afterAll(() => {
  db.close()
  rmSync(dir, { recursive: true })
})

/** A row or more in every table. */
function fill(): void {
  const made = makeFault(file)
  const s = made.storage
  s.findings.add(reading)
  s.findings.add({ ...observation, replaces: 'reading', reason: 'misread' })
  s.suggestions.add({
    faultId: 'fault',
    findingId: 'reading',
    check: { tree: 't', check: 'c' },
    saves: 4,
    followed: true,
  })
  s.disturbances.add({ ...mine, id: 'd', item: 'strap' })
  s.restorations.add({ ...mine, id: 'r', itemKey: 'item:d', how: 'restored', note: null })
  s.repairs.add(swapRepair)
  s.proofs.add({ ...mine, id: 'p', kind: 'symptom', cause: 'a/b', passed: true, round: 0, word: 'gone' })
  s.identities.add({ ...mine, id: 'i', typed: 'AB11', matched: true })
  s.holdReleases.add({ id: 'h', faultId: 'fault', by: 'eve', reason: 'seen' })
  const picture = { sha256: 'a'.repeat(64), type: 'image/jpeg' as const, bytes: 9, words: 'the clip' }
  s.handovers.add({ ...handover, id: 'back' })
  s.handovers.withdraw({ id: 'hw', handoverId: 'back', by: 'ada' })
  s.photos.add({ ...mine, ...picture, id: 'pic', findingId: 'reading', reportId: null })
  s.handovers.add(handover)
  for (const { key } of handover.items)
    s.handovers.confirm({ id: `c ${key}`, handoverId: 'ho', key, by: 'ben' })
  const bens = { ...attendance, id: 'att2', personId: 'ben', takenOver: [{ key: 'item:a', text: 'strap' }] }
  s.handovers.accept({ handoverId: 'ho', attendance: bens })
  const close = { ...mine, id: 'end', outcome: 'not reproduced' as const, cause: null, clearedItself: true }
  const signature = { id: 'sig', printedName: 'Ben Holt', meaning: 'done' }
  s.closures.add({ ...close, attendanceId: 'att2', by: 'ben', changed: '', words: '' }, signature)
  s.engineerNotes.add({ id: 'n', faultId: 'fault', by: 'eve', words: 'watch it', settled: false })
  s.workshopVisits.add({ id: 'w', unitId: 'u1', by: 'eve', result: 'tested good', words: '' })
  s.delays.add({ id: 'dl', faultId: 'fault', by: 'eve', minutes: 12 })
  const state = { owner: 'eve', cause: '', action: '', due: null, doneOn: null, result: '', closed: false }
  s.reviews.open({ id: 'rv', positionId: 'p1', by: 'eve', why: 'third in a year', ...state })
  const known = { kind: 'faults' as const, source: 'here', since: '2026-01-01', until: null, words: 'kept' }
  s.knownSpans.state({ id: 'ks', by: 'eve', ...known })
  s.unitLife.hold({ id: 'uh', unitId: 'u1', by: 'eve', state: 'kept apart', reason: 'comes back' })
  const out = { unitId: 'u1', positionId: null, at: '2026-11-02T03:30:00.000Z', words: 'spare' }
  s.unitLife.change({ id: 'pc', by: 'eve', ...out })
  const shift = { id: 'sh', personId: 'ben', tabletId: null, until: '2026-11-02T13:00:00.000Z' }
  s.shifts.start({ ...shift, tokenHash: 'h' })
  const late = { id: 'late', shiftId: 'sh', seq: 1, path: '/faults', faultId: null, fields: {} }
  const times = {
    doneAt: '2026-11-02T03:00:00.000Z',
    clockAheadMs: 0,
    apart: 'closed',
    beside: null,
    changes: null,
  }
  s.shifts.addAct({ ...late, ...times }, '2026-11-02T04:00:00.000Z')
  s.instruments.create({ id: 'm4', kind: 'multimeter', serial: '4', calibrationDue: null, functions: [] })
  s.instruments.addCalibration({ id: 'cal', instrumentId: 'm4', due: '2026-12-31' })
  fillVisits(s)
  fillKnowledge(s)
  made.db.close()
}

function fillVisits(s: Storage): void {
  s.visits.start({ id: 'v', positionId: 'p1', tree: 't', editionId: 'e1', by: 'ada', plate: 'AB11' })
  const seen = { visitId: 'v', by: 'ada', check: { tree: 't', check: 'c' }, chosenRow: null, note: null }
  s.visits.addFinding({ ...seen, id: 'vf1', kind: 'cannot tell', replaces: null, reason: null })
  s.visits.addFinding({
    ...seen,
    id: 'vf2',
    kind: 'observation',
    word: 'lit',
    replaces: 'vf1',
    reason: 'seen',
  })
  const loading = {
    id: 'im',
    by: 'eve',
    editionId: 'e1',
    fileName: 'log.csv',
    sha256: 'x',
    columns: {},
    leftOut: 0,
  }
  const past = {
    line: 2,
    plate: 'AB11',
    reportedAt: '2025-01-01T00:00:00.000Z',
    closedAt: null,
    symptom: 'dark',
  }
  const meant = {
    tree: 't',
    treeEquipment: 'loop-transmitter',
    causeWords: '',
    cause: null,
    nothingFound: false,
  }
  const told = { reportedBy: null, words: '', protection: 'kept' as const, reference: '1', temperature: -2 }
  s.imports.load(loading, { subject: 'past faults', rows: [{ ...past, ...meant, ...told }] })
  s.imports.load(
    { ...loading, id: 'import-days' },
    { subject: 'temperatures', rows: [{ line: 2, day: '2026-01-05', lowest: -4, highest: 2.5 }] },
  )
  const gone = { line: 2, name: 'Gone', railwayLine: null, mileage: null, access: null }
  s.imports.load({ ...loading, id: 'import-sites' }, { subject: 'sites', rows: [gone] })
  const site = { name: 'Site', line: 'Shore line', mileage: '', access: '' }
  s.placeChanges.changeSite('s', site, { id: 'pc', by: 'eve', why: 'was missing' })
  s.imports.undo({ importId: 'import-sites', subject: 'sites', by: 'eve', why: 'the wrong file' })
  const { leftOut: _, ...givenUp } = { ...loading, id: 'given up' }
  s.imports.begin(givenUp, 'past faults').open(0)
  s.imports.sweep(1, 'cancelled')
  const restorations = [{ id: 'vr', itemKey: 'finding:vf2', how: 'restored' as const }]
  s.visits.end({
    id: 've',
    visitId: 'v',
    by: 'ada',
    how: 'fault found',
    words: '',
    faultId: 'f9',
    restorations,
  })
}

function fillKnowledge(s: Storage): void {
  const draft = { path: 'trees/a.md', baseEditionId: 'e1', by: 'eve', text: '# A' }
  s.drafts.begin({ ...draft, id: 'draft', textId: 'text' })
  const files = [{ path: 'trees/a.md', draftId: 'draft', text: '# A' }]
  s.proposals.create({ id: 'pro', by: 'eve', baseEditionId: 'e1', note: 'mended', files, writers: ['ben'] })
  s.proposals.decide({ id: 'dec', proposalId: 'pro', by: 'ada', verdict: 'approved', words: 'good' })
  const put = { editionId: 'e1', note: '', by: 'eve', folderId: null }
  s.publications.create({ ...put, id: 'pub', how: 'proposal', proposalId: 'pro' })
  const said = { kind: 'wrong or unclear', words: 'which terminal?', tree: 't', check: 'c' } as const
  s.reports.add({ ...said, id: 'rep', faultId: 'fault', editionId: 'e1', by: 'ada' })
  s.reports.answer({ id: 'ans', reportId: 'rep', by: 'eve', words: 'mended' })
  s.reports.read('ans', 'ada')
  const withdrawn = { tree: 't', by: 'eve', words: 'a step is wrong' }
  s.publications.withdrawTree({ ...withdrawn, id: 'lifted' })
  s.publications.liftWithdrawal('t', 'eve')
  s.publications.withdrawTree({ ...withdrawn, id: 'withdrawn' })
}

const dump = () =>
  [...appendOnly, ...endOnly, ...liftOnly].map(table => db.prepare(`SELECT * FROM ${table}`).all())

function columns(table: string): string[] {
  const rows = db.prepare<[string], string>('SELECT name FROM pragma_table_xinfo(?) WHERE hidden = 0').pluck()
  return rows.all(table).map(name => `"${name}"`)
}

function resists(sql: string): void {
  const before = dump()
  expect(() => db.exec(sql), sql).toThrow(/only (append|end|lift)/)
  expect(dump(), sql).toEqual(before)
}

it('names every table of the database as one that only appends, only ends, is only lifted, or may change', () => {
  const tables = db
    .prepare<[], string>("SELECT name FROM sqlite_schema WHERE type = 'table' ORDER BY name")
    .pluck()
  expect(tables.all()).toEqual([...appendOnly, ...endOnly, ...liftOnly, ...changeable].sort())
})

describe.each(appendOnly)('%s', table => {
  it('has a row to try it on, and no hidden key', () => {
    expect(db.prepare(`SELECT count(*) FROM ${table}`).pluck().get()).toBeGreaterThan(0)
    expect(() => db.prepare(`SELECT rowid FROM ${table}`)).toThrow(/no such column/)
  })

  it('refuses UPDATE of each column, even to the same value', () => {
    for (const column of columns(table)) {
      for (const or of ['', 'OR REPLACE', 'OR IGNORE', 'OR FAIL', 'OR ROLLBACK']) {
        resists(`UPDATE ${or} ${table} SET ${column} = ${column}`)
      }
    }
  })

  it('refuses DELETE', () => {
    resists(`DELETE FROM ${table}`)
    resists(`DELETE FROM ${table} WHERE 1`)
  })

  it('refuses INSERT OR REPLACE, INSERT OR IGNORE and UPSERT over a row', () => {
    const all = columns(table).join(', ')
    for (const insert of ['INSERT OR REPLACE', 'REPLACE', 'INSERT OR IGNORE', 'INSERT OR FAIL']) {
      resists(`${insert} INTO ${table} (${all}) SELECT ${all} FROM ${table}`)
    }
    const [column] = columns(table)
    resists(`INSERT INTO ${table} (${all}) SELECT ${all} FROM ${table} WHERE true
      ON CONFLICT DO UPDATE SET ${column} = ${column}`)
  })

  it('refuses a new row that would push an old one out by any other key', () => {
    const keys = db.prepare<[string], string>(`
      SELECT i.name FROM pragma_index_list(?) i WHERE i."unique" AND i.origin <> 'pk'`)
    const part = db.prepare<[string], string>('SELECT name FROM pragma_index_info(?)').pluck()
    for (const key of keys.pluck().all(table)) {
      const kept = part.all(key)
      if (kept.includes('id')) continue // the row's own id is in the key: tried above
      const there = kept.map(name => `"${name}" IS NOT NULL`).join(' AND ')
      const rows = db.prepare<[], number>(`SELECT count(*) FROM ${table} WHERE ${there}`).pluck().get() ?? 0
      expect(rows, key).toBeGreaterThan(0)
      for (let row = 0; row < rows; row++) {
        resists(`INSERT OR REPLACE INTO ${table} (${columns(table).join(', ')})
          SELECT ${otherwiseNew(table, kept)} FROM ${table} WHERE ${there} LIMIT 1 OFFSET ${row}`)
      }
    }
  })
})

/** The columns of a row that shares only the kept ones with an old row, as far as keys go. */
function otherwiseNew(table: string, kept: string[]): string {
  const others: Record<string, string> = {
    '"id"': `'new ' || "id"`,
    '"seq"': '"seq" + 1000',
    '"replaces"': 'NULL',
  }
  const isKept = (column: string) => kept.some(name => column === `"${name}"`)
  return columns(table)
    .map(column => (isKept(column) ? column : (others[column] ?? column)))
    .join(', ')
}

describe.each(endOnly)('%s', table => {
  it('refuses DELETE and INSERT OR REPLACE', () => {
    const all = columns(table).join(', ')
    resists(`DELETE FROM ${table}`)
    resists(`INSERT OR REPLACE INTO ${table} (${all}) SELECT ${all} FROM ${table}`)
  })

  it('refuses to change a row that has ended, in any column', () => {
    const ended = table === 'fittings' ? 'removed_at' : 'ended_at'
    for (const column of columns(table))
      resists(`UPDATE ${table} SET ${column} = ${column} WHERE ${ended} IS NOT NULL`)
  })
})

describe.each(liftOnly)('%s', table => {
  const all = () => columns(table).join(', ')

  it('refuses DELETE and INSERT OR REPLACE, by any key', () => {
    resists(`DELETE FROM ${table}`)
    for (const insert of ['INSERT OR REPLACE', 'INSERT OR IGNORE'])
      resists(`${insert} INTO ${table} (${all()}) SELECT ${all()} FROM ${table}`)
    resists(`INSERT OR REPLACE INTO ${table} (${all()})
      SELECT ${otherwiseNew(table, ['tree'])} FROM ${table} WHERE lifted_at IS NULL`)
  })

  it('refuses to change a row that was lifted, and any column but the two of lifting in one that was not', () => {
    for (const column of columns(table)) {
      resists(`UPDATE ${table} SET ${column} = ${column} WHERE lifted_at IS NOT NULL`)
      if (column.startsWith('"lifted')) continue
      resists(
        `UPDATE ${table} SET ${column} = 'x', lifted_at = 'z', lifted_by = 'eve' WHERE lifted_at IS NULL`,
      )
    }
  })

  it('has no hidden key, by which a row could be pushed out past the triggers', () => {
    expect(() => db.prepare(`SELECT rowid FROM ${table}`)).toThrow(/no such column/)
  })
})

it('an open attendance can’t be pushed out, and nothing of it changes as it ends', () => {
  const path = join(dir, 'open.db')
  makeFault(path).db.close()
  const stranger = new Sqlite(path)
  stranger.pragma('recursive_triggers = OFF')
  const exec = (sql: string) => () => stranger.exec(sql)
  expect(exec("UPDATE attendances SET spoken_to = 'nobody'")).toThrow(/only end/)
  const ends: Record<string, string> = {
    attendances: "ended_at = 'z', ended_how = 'closed'",
    fittings: "removed_at = 'z'",
  }
  for (const [table, end] of Object.entries(ends)) {
    for (const column of columns(table).filter(
      name => !end.includes(name.slice(1, -1)) && name !== '"ended_words"',
    )) {
      const value = column === '"seq"' ? '9' : `'x'`
      expect(exec(`UPDATE ${table} SET ${column} = ${value}, ${end}`), column).toThrow(/only end/)
    }
  }
  expect(
    exec(`INSERT OR REPLACE INTO attendances SELECT 'new', fault_id, 2, 'ben', started_at, seen_history_at, spoken_to,
      protection_words, isolation_words, expected_finish, handover_id, ended_at, ended_how, ended_words FROM attendances`),
  ).toThrow(/only end/)
  expect(
    exec(`INSERT OR REPLACE INTO fittings SELECT 'new', unit_id, 'p2', fitted_at, removed_at FROM fittings`),
  ).toThrow(/only end/)
  stranger.exec("UPDATE attendances SET ended_at = 'z', ended_how = 'closed'")
  expect(exec('UPDATE attendances SET ended_at = NULL, ended_how = NULL')).toThrow(/only end/)
  stranger.close()
})

describe('an import that is not in force', () => {
  const past = (id: string) => `
    INSERT INTO faults (id, position_id, tree, edition_id, symptom, reported_at, reported_by, recorded_by, recorded_at,
      noticed, protection, intermittent)
    SELECT '${id}', position_id, tree, edition_id, symptom, reported_at, reported_by, recorded_by, recorded_at, noticed,
      protection, intermittent FROM faults LIMIT 1`

  it('may name no row that is on record already, so that none can be taken away by way of it', () => {
    for (const [table, key] of [
      ['faults', 'id'],
      ['imports', 'id'],
      ['daily_temperatures', 'day'],
    ]) {
      for (const insert of ['INSERT', 'INSERT OR REPLACE', 'INSERT OR IGNORE'])
        resists(`${insert} INTO not_in_force (subject, key) SELECT '${table}', ${key} FROM ${table}`)
    }
    db.exec("INSERT INTO not_in_force VALUES ('faults', 'not there')")
    resists('UPDATE not_in_force SET key = (SELECT id FROM faults LIMIT 1)')
    resists("UPDATE OR REPLACE not_in_force SET subject = 'imports'")
    db.exec('DELETE FROM not_in_force')
  })

  it('is the only one whose rows may be taken away, until it is in force', () => {
    db.exec("INSERT INTO not_in_force VALUES ('faults', 'early')")
    db.exec(past('early'))
    resists("UPDATE faults SET noticed = 'x' WHERE id = 'early'")
    resists('DELETE FROM faults')
    db.exec("DELETE FROM faults WHERE id = 'early'")
    db.exec(past('early'))
    db.exec('DELETE FROM not_in_force')
    resists("DELETE FROM faults WHERE id = 'early'")
  })
})
