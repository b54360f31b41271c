// Units from a spreadsheet: recognised by kind and serial number.

import { randomId } from '#platform'
import type { UnitRow } from '../../exchange/ready-rows.ts'
import { sql } from '../engine/sql.ts'
import type { Writer } from '../engine/writer.ts'
import type { Position, Positions } from '../railway/positions.ts'
import type { Unit, Units } from '../railway/units.ts'
import { bad, changed, type Load, type Loaded, same } from './load-row.ts'

const withPlate = sql<[string], { id: string }>('SELECT id FROM positions WHERE plate = ?')

export function createImportedUnits(
  { db }: Writer,
  { positions, units }: { positions: Positions; units: Units },
): Load<UnitRow> {
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
    const problem = fittingProblem(row, stays, positions.get(place.id))
    return problem === null ? record(units, unit, row, place.id) : bad(problem)
  }
}

/** Why the unit can't have been fitted at the position as the row says; null when it can. */
function fittingProblem(
  { kind, serial, fittedAt }: UnitRow,
  stays: ReturnType<Units['historyOfUnit']>,
  position: Position,
): string | null {
  if (fittedAt === null) return 'Fitted on: say since when it is there.'
  const other = position.fitted.find(fitted => fitted.kind === kind && fitted.serial !== serial)
  if (other) return `The ${kind} ${other.serial} is on record as fitted there.`
  const later = stays.find(stay => (stay.removedAt ?? '') > fittedAt)
  return later ? `Fitted on: it was at ${later.siteName}, ${later.positionName} until later.` : null
}

/** `fitAt`: the position to fit it at, null for none. */
function record(units: Units, unit: Unit | null, row: UnitRow, fitAt: string | null): Loaded {
  const { kind, serial, variant } = row
  const id = unit?.id ?? randomId()
  const changes: string[] = []
  if (!unit) units.create({ id, kind, serial, variant })
  else {
    if (unit.variant !== variant) changes.push(`variant: ${unit.variant} → ${variant}`)
    units.setVariant(id, variant)
  }
  if (fitAt !== null) {
    units.fit({ id: randomId(), unitId: id, positionId: fitAt, fittedAt: row.fittedAt ?? '' })
    changes.push(`fitted at ${row.plate}`)
  }
  if (!unit) return { state: 'new', words: changes.join('; ') }
  return changes.length > 0 ? changed(changes) : same
}
