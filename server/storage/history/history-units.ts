// Where every unit stood, what it was taken out for, and what the workshop found.

import { groupBy } from '../../history/group-by.ts'
import type { Stay } from '../../history/units/swaps.ts'
import type { Writer } from '../engine/writer.ts'
import { column, row } from './history-window.ts'

export interface HistoryUnits {
  /** Every unit's stays at positions, ever, in order of fitting. */
  stays(): Stay[]
  unitNames(ids: readonly string[]): Map<string, string>
}

export function createHistoryUnits({ db }: Writer): HistoryUnits {
  // Each table is read from end to end and put together here: a join would look up every row by itself.
  const joined = (columns: string[], from: string) => {
    const statement = db
      .prepare<[], string | null>(
        `SELECT group_concat(${columns.join(` || '${column}' || `)}, '${row}') FROM ${from}`,
      )
      .pluck()
    return () => (statement.get() ?? '').split(row).filter(text => text !== '')
  }
  const fittings = joined(
    ['unit_id', 'position_id', 'fitted_at', "coalesce(removed_at, '')"],
    '(SELECT unit_id, position_id, fitted_at, removed_at FROM fittings)',
  )
  const kinds = joined(['id', 'kind'], 'units')
  const places = joined(['id', 'equipment'], 'positions')
  // A unit was taken out for a fault when a repair changed it at that moment; for the symptom of that repair's fault.
  const removals = joined(
    ['r.at', 'q.position_id', 'q.tree'],
    `(SELECT at, fault_id FROM repairs INDEXED BY repairs_swaps WHERE action = 'unit replaced' ORDER BY fault_id) r
      CROSS JOIN faults q ON q.id = r.fault_id`,
  )
  const workshop = db
    .prepare<[], [string, string, string]>('SELECT unit_id, at, result FROM workshop_visits ORDER BY at')
    .raw()
  const unitNames = db.prepare<[string], { id: string; name: string }>(
    `SELECT id, kind || ' ' || serial AS name FROM units WHERE id IN (SELECT value FROM json_each(?))`,
  )
  return {
    stays() {
      const same = interned()
      const results = groupBy(workshop.all(), ([unitId]) => unitId)
      const beside: Beside = {
        kinds: pairs(kinds(), same),
        places: pairs(places(), same),
        removals: groupBy(
          removals().map(text => text.split(column)),
          ([at = '']) => at,
        ),
        found: (unitId, since) => results.get(unitId)?.find(([, at]) => at >= since)?.[2],
      }
      return fittings()
        .map(text => stay(text, beside, same))
        .sort((a, b) => a.fittedMs - b.fittedMs)
    },
    unitNames: ids => new Map(unitNames.all(JSON.stringify(ids)).map(({ id, name }) => [id, name])),
  }
}

interface Beside {
  /** By unit, and kind of equipment by position. */
  kinds: Map<string, string>
  places: Map<string, string>
  /** Moment, position and symptom, by moment. */
  removals: Map<string, string[][]>
  found(unitId: string, since: string): string | undefined
}

function stay(text: string, { kinds, places, removals, found }: Beside, same: Same): Stay {
  const [unitId = '', position = '', fitted = '', removed = ''] = text.split(column)
  const positionId = same(position)
  const symptom = removals.get(removed)?.find(([, where]) => where === positionId)?.[2]
  const result = removed === '' ? undefined : found(unitId, removed)
  return {
    unitId: same(unitId),
    kind: kinds.get(unitId) ?? '',
    positionId,
    place: places.get(positionId) ?? '',
    fittedMs: Date.parse(fitted),
    removedMs: removed === '' ? null : Date.parse(removed),
    removedFor: symptom === undefined ? null : same(symptom),
    workshop:
      removed === '' ? null : result === 'tested good' || result === 'repaired' ? result : 'not known',
  }
}

type Same = (text: string) => string

/** Gives equal texts as one and the same, which then compare and hash at once. */
function interned(): Same {
  const known = new Map<string, string>()
  return text => {
    const before = known.get(text)
    if (before === undefined) known.set(text, text)
    return before ?? text
  }
}

function pairs(texts: string[], same: Same): Map<string, string> {
  return new Map(
    texts.map(text => {
      const at = text.indexOf(column)
      return [same(text.slice(0, at)), same(text.slice(at + 1))]
    }),
  )
}
