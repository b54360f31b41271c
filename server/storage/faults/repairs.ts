import { AppError } from '../../errors.ts'
import type { BlownFuse, Repair, Swap } from '../../walk/record.ts'
import { type Appends, createAppends } from '../engine/append.ts'
import type { New, Writer } from '../engine/writer.ts'
import type { Unit, Units } from '../railway/units.ts'
import type { Attendances } from './attendances.ts'

export type NewSwap = Omit<Swap, 'override'> & { override: { by: string; reason: string } | null }
export type NewRepair = New<Omit<Repair, 'swap'>> & { swap: NewSwap | null }

/** A swap also moves the fittings: old unit out, new unit (made when its serial is unknown) in. */
export function createRepairs(writer: Writer, attendances: Attendances, units: Units): Appends<NewRepair> {
  const { db } = writer
  const positionOf = db.prepare<[string], string>('SELECT position_id FROM faults WHERE id = ?').pluck()
  const fittedOfKind = db
    .prepare<[string, string], string>(`
    SELECT u.id FROM fittings f JOIN units u ON u.id = f.unit_id
    WHERE f.position_id = ? AND u.kind = ? AND f.removed_at IS NULL`)
    .pluck()

  function move(repairId: string, swap: NewSwap, positionId: string, at: string): void {
    const out = asRead(`${repairId}-out`, swap.kind, swap.serialOut, swap.variantOut)
    const into = asRead(`${repairId}-in`, swap.kind, swap.serialIn, swap.variantIn)
    const here = fittedOfKind.all(positionId, swap.kind)
    // Only one was on record here and it wasn't this one: the record was wrong, and the plate is right.
    const stale = here.length === 1 ? here : []
    for (const unitId of new Set([out.id, into.id, ...stale])) units.remove(unitId, at)
    units.fit({ id: repairId, unitId: into.id, positionId, fittedAt: at })
  }

  /** The unit with that serial, made when unknown; the variant is what its plate says now. */
  function asRead(newId: string, kind: string, serial: string, variant: string): Unit {
    const known = units.findBySerial(kind, serial)
    if (known === null) units.create({ id: newId, kind, serial, variant })
    else units.setVariant(known.id, variant)
    return known ?? { id: newId, kind, serial, variant }
  }

  return createAppends<NewRepair>(writer, attendances, {
    known: db.prepare(`
      SELECT fault_id AS faultId, attendance_id AS attendanceId, by, cause, action, words, swap, fuse
      FROM repairs WHERE id = ?`),
    insert: db.prepare(`
      INSERT INTO repairs (id, fault_id, seq, attendance_id, at, by, cause, action, words, swap, fuse)
      VALUES (@id, @faultId, (SELECT coalesce(max(seq), 0) + 1 FROM repairs WHERE fault_id = @faultId), @attendanceId,
        @at, @by, @cause, @action, @words, @swap, @fuse)`),
    row: ({ cause, action, words, swap, fuse }) => ({
      ...{ cause, action, words },
      swap: swap && JSON.stringify(swap),
      fuse: fuse ? JSON.stringify(fuse) : null,
    }),
    before({ swap }) {
      if (swap === null || !sameText(swap.serialIn, swap.serialOut)) return
      throw new AppError('invalid', 'The unit taken out and the unit put in have the same serial number.')
    },
    after({ id, faultId, swap }, at) {
      const positionId = positionOf.get(faultId)
      if (swap !== null && positionId !== undefined) move(id, swap, positionId, at)
    },
  })
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
