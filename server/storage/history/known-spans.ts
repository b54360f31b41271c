// From when until when each kind of record is whole: what the entries themselves show, and what an engineer says.

import type { RecordKind, RecordSource } from '../../history/known.ts'
import { timeMs } from '../../times.ts'
import { inForce } from '../engine/in-force.ts'
import { type Connection, scalar, sql } from '../engine/sql.ts'
import type { Writer, Written } from '../engine/writer.ts'

export interface NewKnownSpan {
  id: string
  by: string
  kind: RecordKind
  /** `here`, or the id of an import. */
  source: string
  /** First and last whole day, `2026-05-31`; the last null while it is still kept. */
  since: string
  until: string | null
  words: string
}

export interface KnownSpans {
  /** Every source of every kind, with its first and last entry and what was said of it. */
  sources(): RecordSource[]
  /** The same for faults alone, which every figure of the review asks for. */
  faultSources(): RecordSource[]
  /** Another text whenever a fault is closed, a file has come in or something was said of what is known. */
  version(): string
  /** The newest of a source and kind counts. */
  state(span: NewKnownSpan): Written
}

interface Entries {
  source: string
  name: string
  first: string | null
  last: string | null
  entries: number
  days: number
}

interface Stated {
  kind: RecordKind
  source: string
  since: string
  until: string | null
  by: string
  words: string
}

/** SQL for the first moment of each day that has any, leaping from one to the next by the index on that column. */
const daysIn = (name: string, table: string, column: string) => `
  ${name} (at) AS (SELECT min(${column}) FROM ${table} WHERE ${column} >= '1900' UNION ALL
    SELECT (SELECT min(${column}) FROM ${table} WHERE ${column} >= date(d.at, '+1 day'))
    FROM ${name} d WHERE d.at IS NOT NULL)`

// Faults recorded here are attended or open; those of a file are neither. A day on which a round was made is a day on
// which the record of faults was kept too.
const faultsHere = sql<[], Entries>(`
  WITH RECURSIVE ${daysIn('attended', 'attendances', 'started_at')}, ${daysIn('walked', 'visit_ends', 'at')},
    reported (at) AS (SELECT f.reported_at FROM open_faults o JOIN faults f ON f.id = o.fault_id
      WHERE f.reported_at >= '1900'),
    signs (at) AS (SELECT at FROM attended UNION ALL SELECT at FROM walked UNION ALL SELECT at FROM reported)
  SELECT 'here' AS source, 'Recorded here' AS name,
    (SELECT min(at) FROM (SELECT min(at) AS at FROM signs UNION ALL
      SELECT f.reported_at FROM faults f WHERE f.id = (SELECT fault_id FROM attendances ORDER BY started_at LIMIT 1)
        AND f.reported_at >= '1900')) AS first,
    (SELECT max(at) FROM (SELECT max(started_at) AS at FROM attendances UNION ALL SELECT max(at) FROM visit_ends
      UNION ALL SELECT max(at) FROM reported)) AS last,
    (SELECT count(*) FROM faults) - (SELECT count(*) FROM imported_faults) AS entries,
    (SELECT count(DISTINCT substr(at, 1, 10)) FROM signs) AS days`)
const pastFiles = sql<[], { id: string; name: string; rows: number }>(`
  SELECT m.id, m.file_name AS name, (SELECT count(*) FROM imported_faults i WHERE i.import_id = m.id) AS rows
  FROM imports m WHERE m.subject = 'past faults' AND ${inForce('imports', 'm.id')}`)
const faultsOfFile = sql<[string], Omit<Entries, 'source' | 'name'>>(`
  SELECT min(f.reported_at) AS first, max(f.reported_at) AS last, count(*) AS entries,
    count(DISTINCT substr(f.reported_at, 1, 10)) AS days
  FROM imported_faults i CROSS JOIN faults f ON f.id = i.fault_id
  WHERE i.import_id = ? AND f.reported_at >= '1900' AND ${inForce('faults', 'f.id')}`)
const rounds = sql<[], Entries>(`
  WITH RECURSIVE ${daysIn('walked', 'visit_ends', 'at')}
  SELECT 'here' AS source, 'Recorded here' AS name, (SELECT min(at) FROM visit_ends WHERE at >= '1900') AS first,
    (SELECT max(at) FROM visit_ends) AS last, (SELECT count(*) FROM visit_ends) AS entries,
    (SELECT count(at) FROM walked) AS days`)
const changes = sql<[], Entries>(`
  SELECT 'here' AS source, 'Recorded here' AS name, min(at) AS first, max(at) AS last, count(*) AS entries,
    count(DISTINCT substr(at, 1, 10)) AS days
  FROM (SELECT removed_at AS at FROM fittings WHERE removed_at >= '1900')`)
const temperatures = sql<[], Entries>(`
  SELECT m.id AS source, m.file_name AS name, min(t.day) AS first, max(t.day) AS last, count(*) AS entries,
    count(*) AS days
  FROM daily_temperatures t JOIN imports m ON m.id = t.import_id
  WHERE ${inForce('imports', 'm.id')} AND ${inForce('daily_temperatures', 't.day')} GROUP BY m.id`)
const stated = sql<[], Stated>(`
  SELECT k.kind, k.source, k.since, k.until, p.name AS by, k.words FROM known_spans k JOIN people p ON p.id = k.by
  WHERE k.seq = (SELECT max(seq) FROM known_spans n WHERE n.kind = k.kind AND n.source = k.source)`)
const version = scalar<[], string>(`
  SELECT coalesce((SELECT max(at) FROM closures), '') || ' ' ||
    coalesce((SELECT max(at) FROM imports WHERE ${inForce('imports', 'id')}), '') || ' ' ||
    coalesce((SELECT max(seq) FROM known_spans), 0)`)
const stored = sql<[string], object>(
  'SELECT by, kind, source, since, until, words FROM known_spans WHERE id = ?',
)
const insert = sql(`
  INSERT INTO known_spans (id, seq, at, by, kind, source, since, until, words)
  VALUES (@id, (SELECT coalesce(max(seq), 0) + 1 FROM known_spans), @at, @by, @kind, @source, @since, @until, @words)`)

type Read = (db: Connection) => Entries[]

const queries: Record<RecordKind, Read> = {
  faults: db => [...faultsHere(db).all(), ...faultFiles(db)],
  rounds: db => rounds(db).all(),
  'unit changes': db => changes(db).all(),
  temperatures: db => temperatures(db).all(),
}

/** What a file held does not change once it is in force, and a million rows take a second to look through. */
const filesRead = new WeakMap<Connection, Map<string, Entries>>()

function faultFiles(db: Connection): Entries[] {
  const read = filesRead.get(db) ?? new Map<string, Entries>()
  filesRead.set(db, read)
  return pastFiles(db)
    .all()
    .flatMap(({ id, name, rows }) => {
      const key = `${id} ${rows}`
      const known = read.get(key)
      if (known !== undefined) return [known]
      const found = faultsOfFile(db).get(id)
      if (found === undefined) return []
      read.set(key, { ...found, source: id, name })
      return [{ ...found, source: id, name }]
    })
}

export function createKnownSpans({ db, write, moment, once }: Writer): KnownSpans {
  return {
    sources: () =>
      (['faults', 'rounds', 'unit changes', 'temperatures'] as const).flatMap(kind => sourcesOf(db, kind)),
    faultSources: () => sourcesOf(db, 'faults'),
    version: () => version(db).get() ?? '',
    state: span =>
      write(() => once(stored(db).get(span.id), span, () => void insert(db).run({ ...span, at: moment() }))),
  }
}

const dayMs = 86_400_000

function sourcesOf(db: Connection, kind: RecordKind): RecordSource[] {
  const said = stated(db)
    .all()
    .filter(one => one.kind === kind)
  return queries[kind](db).flatMap(({ first, last, ...row }) => {
    const [firstMs, lastMs] = [timeMs(first ?? ''), timeMs(last ?? '')]
    if (firstMs === null || lastMs === null) return []
    const one = said.find(({ source }) => source === row.source)
    return [{ ...row, kind, firstMs, lastMs, stated: one === undefined ? null : statedSpan(one) }]
  })
}

function statedSpan({ since, until, by, words }: Stated): RecordSource['stated'] {
  return {
    fromMs: Date.parse(since),
    toMs: until === null ? null : Date.parse(until) + dayMs,
    by,
    words,
  }
}
