// What each row of a file would do to what is on record.

import { assertNever } from '../../errors.ts'
import type { ReadyRows } from '../../exchange/ready-rows.ts'
import type { Writer } from '../engine/writer.ts'
import type { Positions } from '../railway/positions.ts'
import type { Sites } from '../railway/sites.ts'
import type { Units } from '../railway/units.ts'
import { planDays } from './imports-days.ts'
import { planFaults } from './imports-faults.ts'
import { planPositions, planSites } from './imports-places.ts'
import { planUnits } from './imports-units.ts'
import { bad, type Loaded, type Loading, type Plan, type Planner, same } from './load-row.ts'

export interface RowOutcome extends Loaded {
  line: number
}

export type PlannedRow = Plan & { line: number }

export interface Places {
  sites: Sites
  positions: Positions
  units: Units
}

/** Looks at the rows of one file, some at a time, in its order. Writes nothing. */
export function createLook(
  writer: Writer,
  places: Places,
  loading: Loading,
): (ready: ReadyRows) => PlannedRow[] {
  const site = inTurn(row => row.name, planSites(writer, places), loading)
  const position = inTurn(row => row.plate, planPositions(writer, places), loading)
  const unit = inTurn(row => `${row.kind} ${row.serial}`, planUnits(writer, places), loading)
  const fault = inTurn(faultKey, planFaults(writer), loading)
  const day = inTurn(row => row.day, planDays(writer), loading)
  return ready => {
    switch (ready.subject) {
      case 'sites':
        return ready.rows.map(site)
      case 'positions':
        return ready.rows.map(position)
      case 'units':
        return ready.rows.map(unit)
      case 'past faults':
        return ready.rows.map(fault)
      case 'temperatures':
        return ready.rows.map(day)
      default:
        return assertNever(ready)
    }
  }
}

/** Two rows of one file that speak of the same thing must say the same. */
function inTurn<R extends { line: number }>(
  keyOf: (row: R) => string,
  plan: Planner<R>,
  loading: Loading,
): (row: R) => PlannedRow {
  const seen = new Map<string, { line: number; content: string }>()
  return row => {
    const { line, ...rest } = row
    const key = keyOf(row).toLowerCase()
    const content = JSON.stringify(rest)
    const earlier = seen.get(key)
    if (earlier?.content === content) return { line, ...same, words: `As line ${earlier.line}.` }
    if (earlier) return { line, ...bad(`Line ${earlier.line} says otherwise of the same.`) }
    seen.set(key, { line, content })
    return { line, ...plan(row, loading) }
  }
}

function faultKey(row: {
  reference: string | null
  plate: string
  reportedAt: string
  symptom: string
}): string {
  return row.reference ? `reference ${row.reference}` : `${row.plate} ${row.reportedAt} ${row.symptom}`
}
