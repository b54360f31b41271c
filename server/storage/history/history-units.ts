// Where every unit stood, what it was taken out for, and what the workshop found.

import { groupBy } from '../../history/group-by.ts'
import type { Stay } from '../../history/units/swaps.ts'
import { oldestMs, timeMs } from '../../times.ts'
import { type Connection, sql, tuples } from '../engine/sql.ts'
import type { Writer } from '../engine/writer.ts'
import { columnEnd, joinedText, rowsIn } from './history-window.ts'

export interface HistoryUnits {
  /** Every unit's stays at positions, ever, in order of fitting. */
  stays(): Stay[]
  unitNames(ids: readonly string[]): Map<string, string>
}

const unitNames = sql<[string], { id: string; name: string }>(
  `SELECT id, kind || ' ' || serial AS name FROM units WHERE id IN (SELECT value FROM json_each(?))`,
)

const workshop = tuples<[], [string, string, string]>(
  'SELECT unit_id, at, result FROM workshop_visits ORDER BY at',
)

// Each table is read from end to end and put together here: a join would look up every row by itself.
const fittings = joinedText<[]>(
  ['unit_id', 'position_id', 'fitted_at', "coalesce(removed_at, '')"],
  '(SELECT unit_id, position_id, fitted_at, removed_at FROM fittings)',
)
const kinds = joinedText<[]>(['id', 'kind'], 'units')
const places = joinedText<[]>(['id', 'equipment'], 'positions')
// A unit was taken out for a fault when a repair changed it at that moment; for the symptom of that repair's fault.
const removals = joinedText<[]>(
  ['r.at', 'q.position_id', 'q.tree'],
  `(SELECT at, fault_id FROM repairs INDEXED BY repairs_swaps WHERE action = 'unit replaced' ORDER BY fault_id) r
    CROSS JOIN faults q ON q.id = r.fault_id`,
)

export function createHistoryUnits({ db }: Writer): HistoryUnits {
  return {
    stays() {
      const same = createInterner()
      const beside = readBeside(db, same)
      return rowsIn(fittings(db).get())
        .map(text => stay(text, beside, same))
        .sort((a, b) => a.fittedMs - b.fittedMs)
    },
    unitNames: ids =>
      new Map(
        unitNames(db)
          .all(JSON.stringify(ids))
          .map(({ id, name }) => [id, name]),
      ),
  }
}

interface Beside {
  /** By unit, and kind of equipment by position. */
  kinds: Map<string, string>
  places: Map<string, string>
  /** Moment, position and symptom, by moment. */
  removals: Map<string, string[][]>
  /** What the workshop wrote of the unit first since that moment. */
  workshopResult(unitId: string, since: string): string | undefined
}

function readBeside(db: Connection, same: Same): Beside {
  const results = groupBy(workshop(db).all(), ([unitId]) => unitId)
  return {
    kinds: pairs(rowsIn(kinds(db).get()), same),
    places: pairs(rowsIn(places(db).get()), same),
    removals: groupBy(
      rowsIn(removals(db).get()).map(text => text.split(columnEnd)),
      ([at = '']) => at,
    ),
    workshopResult: (unitId, since) => results.get(unitId)?.find(([, at]) => at >= since)?.[2],
  }
}

function stay(text: string, { kinds, places, removals, workshopResult }: Beside, same: Same): Stay {
  const [unitId = '', position = '', fitted = '', removed = ''] = text.split(columnEnd)
  const positionId = same(position)
  const symptom = removals.get(removed)?.find(([, where]) => where === positionId)?.[2]
  const result = removed === '' ? undefined : workshopResult(unitId, removed)
  return {
    unitId: same(unitId),
    kind: kinds.get(unitId) ?? '',
    positionId,
    place: places.get(positionId) ?? '',
    fittedMs: timeMs(fitted) ?? oldestMs,
    removedMs: timeMs(removed),
    removedFor: symptom === undefined ? null : same(symptom),
    workshop:
      removed === '' ? null : result === 'tested good' || result === 'repaired' ? result : 'not known',
  }
}

type Same = (text: string) => string

/** Interns: gives equal texts as one string, which then compares and hashes at once. */
function createInterner(): Same {
  const strings = new Map<string, string>()
  return text => {
    const interned = strings.get(text)
    if (interned === undefined) strings.set(text, text)
    return interned ?? text
  }
}

function pairs(texts: string[], same: Same): Map<string, string> {
  return new Map(
    texts.map(text => {
      const at = text.indexOf(columnEnd)
      return [same(text.slice(0, at)), same(text.slice(at + 1))]
    }),
  )
}
