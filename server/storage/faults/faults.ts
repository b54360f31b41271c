import { AppError } from '../../errors.ts'
import type { Fault, FaultRecord } from '../../walk/record.ts'
import { createRowCache } from '../engine/row-cache.ts'
import { scalar, sql } from '../engine/sql.ts'
import type { Writer, Written } from '../engine/writer.ts'
import { createFaultRecord } from './fault-record.ts'
import { createFaultSummaries, type FaultSummaries, type FaultSummary } from './fault-summaries.ts'

export type { FaultSummary }

export type NewFault = Fault & { conditions: { name: string; value: string }[]; recordedAt?: string }

export type Faults = Omit<FaultSummaries, 'summary'> & {
  create(fault: NewFault): Written
  /** 'not found' when there is no such fault. */
  get(id: string): FaultRecord
  /** 'not found' when there is no such fault. */
  summary(id: string): FaultSummary
  /** Faults at the position in the `windowDays` before `reportedAt`. */
  countEarlier(positionId: string, reportedAt: string, windowDays: number): number
}

/** What a record is read from that bears no fault's id: it may be in any of them. */
const inAnyRecord = new Set(['people', 'handover_items', 'handover_confirmations'])

const stored = sql<[string], object>(`
  SELECT f.position_id AS positionId, f.tree, f.symptom, f.reported_at AS reportedAt, f.reported_by AS reportedBy,
    f.recorded_by AS recordedBy, f.noticed, f.protection, f.intermittent,
    (SELECT json_group_array(json_array(c.name, c.value)) FROM
      (SELECT name, value FROM conditions WHERE fault_id = f.id ORDER BY name) c) AS list
  FROM faults f WHERE f.id = ?`)
const insert = sql(`
  INSERT INTO faults (id, position_id, tree, edition_id, symptom, reported_at, reported_by, recorded_by, recorded_at,
    noticed, protection, intermittent)
  VALUES (@id, @positionId, @tree, @editionId, @symptom, @reportedAt, @reportedBy, @recordedBy, @recordedAt, @noticed,
    @protection, @intermittent)`)
const insertCondition = sql('INSERT INTO conditions (fault_id, name, value) VALUES (@faultId, @name, @value)')
const earlier = scalar<object, number>(`
  SELECT count(*) FROM faults
  WHERE position_id = @positionId AND reported_at < @reportedAt
    AND reported_at >= strftime('%Y-%m-%dT%H:%M:%fZ', @reportedAt, @window)`)

export function createFaults(writer: Writer, repeatWindowDays: number): Faults {
  const { db, write, moment, once } = writer
  const summaries = createFaultSummaries(writer, repeatWindowDays)

  function create({ conditions, recordedAt, ...made }: NewFault): Written {
    const sorted = conditions.toSorted((a, b) => (a.name < b.name ? -1 : 1))
    const list = JSON.stringify(sorted.map(({ name, value }) => [name, value]))
    const row = {
      ...made,
      intermittent: Number(made.intermittent),
      reportedAt: moment(made.reportedAt),
      list,
    }
    return write(() =>
      once(stored(db).get(made.id), row, () => {
        insert(db).run({ ...row, recordedAt: moment(recordedAt) })
        for (const condition of conditions) insertCondition(db).run({ faultId: made.id, ...condition })
      }),
    )
  }

  const cache = createRowCache<FaultRecord>(db, writer.trail, {
    maxEntries: 1000,
    read: createFaultRecord(db),
    invalidates: ({ table, faultId }) => faultId ?? (inAnyRecord.has(table) ? 'all' : null),
  })

  return {
    ...summaries,
    create,
    get: cache.get,
    summary(id) {
      const summary = summaries.summary(id)
      if (summary === null) throw new AppError('not found', 'There is no such fault.')
      return summary
    },
    countEarlier: (positionId, reportedAt, windowDays) =>
      earlier(db).get({ positionId, reportedAt: moment(reportedAt), window: `-${windowDays} days` }) ?? 0,
  }
}
