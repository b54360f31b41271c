import { AppError } from '../../errors.ts'
import type { BlownFuse, Repair, Swap } from '../../walk/record.ts'
import { nextSeq, scalar, sql } from '../engine/sql.ts'
import type { New, Writer } from '../engine/writer.ts'
import type { Unit, Units } from '../railway/units.ts'
import { type Appends, type Attendances, createAppends } from './attendances.ts'

export type NewSwap = Omit<Swap, 'override'> & { override: { by: string; reason: string } | null }
export type NewRepair = New<Omit<Repair, 'swap'>> & { swap: NewSwap | null }

const positionOf = scalar<[string], string>('SELECT position_id FROM faults WHERE id = ?')
const fittedOfKind = scalar<[string, string], string>(`
  SELECT u.id FROM fittings f JOIN units u ON u.id = f.unit_id
  WHERE f.position_id = ? AND u.kind = ? AND f.removed_at IS NULL`)

const stored = sql<[string], object>(`
  SELECT fault_id AS faultId, attendance_id AS attendanceId, by, cause, action, words, swap, fuse
  FROM repairs WHERE id = ?`)
const insert = sql<[object]>(`
  INSERT INTO repairs (id, fault_id, seq, attendance_id, at, by, cause, action, words, swap, fuse)
  VALUES (@id, @faultId, ${nextSeq('repairs', 'fault_id', '@faultId')}, @attendanceId,
    @at, @by, @cause, @action, @words, @swap, @fuse)`)

/** A swap also moves the fittings: old unit out, new unit (made when its serial is unknown) in. */
export function createRepairs(writer: Writer, attendances: Attendances, units: Units): Appends<NewRepair> {
  const { db } = writer
  return createAppends<NewRepair>(writer, attendances, {
    stored,
    insert,
    row: ({ cause, action, words, swap, fuse }) => ({
      cause,
      action,
      words,
      swap: swap && JSON.stringify(swap),
      fuse: fuse ? JSON.stringify(fuse) : null,
    }),
    before({ swap }) {
      if (swap === null || !sameText(swap.serialIn, swap.serialOut)) return
      throw new AppError('invalid', 'The unit taken out and the unit put in have the same serial number.')
    },
    after({ id, faultId, swap }, at) {
      const positionId = positionOf(db).get(faultId)
      if (swap === null || positionId === undefined) return
      const onRecord = fittedOfKind(db).all(positionId, swap.kind)
      moveUnits(units, swap, { repairId: id, positionId, onRecord, at })
    },
  })
}

/** `onRecord`: the units of the kind that are on record at the position. */
function moveUnits(
  units: Units,
  swap: NewSwap,
  {
    repairId,
    positionId,
    onRecord,
    at,
  }: { repairId: string; positionId: string; onRecord: string[]; at: string },
): void {
  const out = asRead(units, `${repairId}-out`, swap.kind, swap.serialOut, swap.variantOut)
  const into = asRead(units, `${repairId}-in`, swap.kind, swap.serialIn, swap.variantIn)
  // Only one was on record here and it wasn't this one: the record was wrong, and the plate is right.
  const stale = onRecord.length === 1 ? onRecord : []
  for (const unitId of new Set([out.id, into.id, ...stale])) units.remove(unitId, at)
  units.fit({ id: repairId, unitId: into.id, positionId, fittedAt: at })
}

/** The unit with that serial, made when unknown; the variant is what its plate says now. */
function asRead(units: Units, newId: string, kind: string, serial: string, variant: string): Unit {
  const unit = units.findBySerial(kind, serial)
  if (unit === null) units.create({ id: newId, kind, serial, variant })
  else units.setVariant(unit.id, variant)
  return unit ?? { id: newId, kind, serial, variant }
}

/** As the columns come, joined with the names. */
export type RepairRow = Omit<Repair, 'swap' | 'fuse'> & {
  swap: string | null
  fuse: string | null
  overrideName: string | null
}

export function repair({ swap, fuse: blown, overrideName, ...made }: RepairRow): Repair {
  const row = { ...made, ...(blown === null ? {} : { fuse: JSON.parse(blown) as BlownFuse }) }
  if (swap === null) return { ...row, swap: null }
  const { override, ...stored } = JSON.parse(swap) as NewSwap
  return { ...row, swap: { ...stored, override: override && { ...override, byName: overrideName ?? '' } } }
}

function sameText(a: string, b: string): boolean {
  return a.toLowerCase() === b.toLowerCase()
}
