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

// A day on which a round was made is a day on which the record of faults was kept too.
const faultsHere = sql<[], Entries>(`
  SELECT 'here' AS source, 'Recorded here' AS name, min(at) AS first, max(at) AS last, sum(fault) AS entries,
    count(DISTINCT substr(at, 1, 10)) AS days
  FROM (SELECT f.reported_at AS at, 1 AS fault FROM faults f WHERE f.reported_at >= '1900'
      AND NOT EXISTS (SELECT 1 FROM imported_faults i WHERE i.fault_id = f.id)
    UNION ALL SELECT at, 0 FROM visits WHERE at >= '1900')`)
const faultFiles = sql<[], Entries>(`
  SELECT m.id AS source, m.file_name AS name, min(f.reported_at) AS first, max(f.reported_at) AS last,
    count(*) AS entries, count(DISTINCT substr(f.reported_at, 1, 10)) AS days
  FROM imported_faults i CROSS JOIN faults f ON f.id = i.fault_id JOIN imports m ON m.id = i.import_id
  WHERE f.reported_at >= '1900' AND ${inForce('imports', 'm.id')} AND ${inForce('faults', 'f.id')} GROUP BY m.id`)
const rounds = sql<[], Entries>(`
  SELECT 'here' AS source, 'Recorded here' AS name, min(at) AS first, max(at) AS last, count(*) AS entries,
    count(DISTINCT substr(at, 1, 10)) AS days FROM visits WHERE at >= '1900'`)
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

const queries = {
  faults: [faultsHere, faultFiles],
  rounds: [rounds],
  'unit changes': [changes],
  temperatures: [temperatures],
} as const

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
  return queries[kind].flatMap(query =>
    query(db)
      .all()
      .flatMap(({ first, last, ...row }) => {
        const [firstMs, lastMs] = [timeMs(first ?? ''), timeMs(last ?? '')]
        if (firstMs === null || lastMs === null) return []
        const one = said.find(({ source }) => source === row.source)
        return [{ ...row, kind, firstMs, lastMs, stated: one === undefined ? null : statedSpan(one) }]
      }),
  )
}

function statedSpan({ since, until, by, words }: Stated): RecordSource['stated'] {
  return {
    fromMs: Date.parse(since),
    toMs: until === null ? null : Date.parse(until) + dayMs,
    by,
    words,
  }
}
