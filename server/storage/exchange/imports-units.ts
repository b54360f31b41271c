// Units from a spreadsheet: recognised by kind and serial number.

import { randomId } from '#platform'
import type { UnitRow } from '../../exchange/ready-rows.ts'
import { sql } from '../engine/sql.ts'
import type { Writer } from '../engine/writer.ts'
import type { Positions } from '../railway/positions.ts'
import type { Unit, Units } from '../railway/units.ts'
import { added, bad, changed, type Plan, type Planner, same } from './load-row.ts'

const withPlate = sql<[string], { id: string }>('SELECT id FROM positions WHERE plate = ?')

export function planUnits(
  { db }: Writer,
  { positions, units }: { positions: Positions; units: Units },
): Planner<UnitRow> {
  /** Serial number by position and kind, of what rows before fit. */
  const fitting = new Map<string, string>()
  return row => {
    const unit = units.findBySerial(row.kind, row.serial)
    const place = row.plate === null ? null : withPlate(db).get(row.plate)
    if (place === undefined) return bad(`Plate: there is no position “${row.plate}” on record.`)
    const stays = unit ? units.historyOfUnit(unit.id) : []
    const present = stays.find(stay => stay.removedAt === null)
    if (place && present && present.positionId !== place.id)
      return bad(
        `It is on record as fitted at ${present.siteName}, ${present.positionName}: a swap is recorded at a fault.`,
      )
    if (place === null || present) return record(units, unit, row, null)
    const key = JSON.stringify([place.id, row.kind])
    const position = positions.get(place.id)
    const there = position.fitted.find(({ kind, serial }) => kind === row.kind && serial !== row.serial)
    const problem = fittingProblem(row, stays, there?.serial ?? fitting.get(key))
    if (problem !== null) return bad(problem)
    fitting.set(key, row.serial)
    return record(units, unit, row, place.id)
  }
}

/** Why the unit can't have been fitted as the row says; null when it can. `other`: of its kind, fitted there. */
function fittingProblem(
  { kind, fittedAt }: UnitRow,
  stays: ReturnType<Units['historyOfUnit']>,
  other: string | undefined,
): string | null {
  if (fittedAt === null) return 'Fitted on: say since when it is there.'
  if (other !== undefined) return `The ${kind} ${other} is on record as fitted there.`
  const later = stays.find(stay => (stay.removedAt ?? '') > fittedAt)
  return later ? `Fitted on: it was at ${later.siteName}, ${later.positionName} until later.` : null
}

/** `fitAt`: the position to fit it at, null for none. */
function record(units: Units, unit: Unit | null, row: UnitRow, fitAt: string | null): Plan {
  const { kind, serial, variant } = row
  const id = unit?.id ?? randomId()
  const changes: string[] = []
  if (unit && unit.variant !== variant) changes.push(`variant: ${unit.variant} → ${variant}`)
  if (fitAt !== null) changes.push(`fitted at ${row.plate}`)
  const write = () => {
    if (unit) units.setVariant(id, variant)
    else units.create({ id, kind, serial, variant })
    if (fitAt !== null)
      units.fit({ id: randomId(), unitId: id, positionId: fitAt, fittedAt: row.fittedAt ?? '' })
  }
  if (!unit) return { ...added(write), words: changes.join('; ') }
  return changes.length > 0 ? changed(changes, write) : same
}
