// Units from a spreadsheet: known again by kind and serial number.

import { randomId } from '#platform'
import type { UnitRow } from '../../exchange/ready-rows.ts'
import type { Writer } from '../engine/writer.ts'
import type { Positions } from '../railway/positions.ts'
import type { Units } from '../railway/units.ts'
import type { Load } from './imports.ts'

const bad = (words: string) => ({ state: 'bad', words }) as const

export function createImportedUnits(
  { db }: Writer,
  { positions, units }: { positions: Positions; units: Units },
): Load<UnitRow> {
  const withPlate = db.prepare<[string], { id: string }>('SELECT id FROM positions WHERE plate = ?')

  return row => {
    const { kind, serial, variant } = row
    const known = units.findBySerial(kind, serial)
    const place = row.plate === null ? null : withPlate.get(row.plate)
    if (place === undefined) return bad(`Plate: there is no position “${row.plate}” on record.`)
    const fitted = known
      ? (units.historyOfUnit(known.id).find(stay => stay.removedAt === null) ?? null)
      : null
    if (place && fitted && fitted.positionId !== place.id)
      return bad(
        `It is on record as fitted at ${fitted.siteName}, ${fitted.positionName}: a swap is recorded at a fault.`,
      )
    const fitting = place !== null && fitted === null
    if (fitting && row.fittedAt === null) return bad('Fitted on: say since when it is there.')
    const other =
      fitting && positions.get(place.id).fitted.find(one => one.kind === kind && one.serial !== serial)
    if (other) return bad(`The ${kind} ${other.serial} is on record as fitted there.`)
    const since = row.fittedAt ?? ''
    const past = known && units.historyOfUnit(known.id).find(stay => (stay.removedAt ?? '') > since)
    if (fitting && past)
      return bad(`Fitted on: it was at ${past.siteName}, ${past.positionName} until later.`)
    const id = known?.id ?? randomId()
    if (!known) units.create({ id, kind, serial, variant })
    const changes = []
    if (known && known.variant !== variant) changes.push(`variant: ${known.variant} → ${variant}`)
    if (known) units.setVariant(id, variant)
    if (fitting) {
      units.fit({ id: randomId(), unitId: id, positionId: place.id, fittedAt: since })
      changes.push(`fitted at ${row.plate}`)
    }
    if (!known) return { state: 'new', words: changes.join('; ') }
    return changes.length > 0 ? { state: 'changed', words: changes.join('; ') } : { state: 'same', words: '' }
  }
}
