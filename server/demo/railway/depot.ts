// Which unit is fitted where as the story goes on, and the spares on the van.

import type { Equipment } from '../../knowledge/types.ts'
import type { Random } from '../../statistics/random.ts'
import { fittingVariants } from '../../walk/fit.ts'
import { type DemoPosition, type DemoUnit, newSerial } from './railway.ts'

export interface Depot {
  fitted(position: DemoPosition, kind: string): DemoUnit | null
  /** A spare that may be fitted here; `serial` names a certain one. Null when no variant may be fitted. */
  spare(equipment: Equipment, position: DemoPosition, kind: string, serial: string | null): DemoUnit | null
  swap(position: DemoPosition, into: DemoUnit): void
}

export function createDepot(random: Random): Depot {
  const given = new Set<string>()

  function freshSerial(): string {
    const serial = newSerial(random)
    if (given.has(serial)) return freshSerial()
    given.add(serial)
    return serial
  }

  return {
    fitted: (position, kind) => position.fitted.find(unit => unit.kind === kind) ?? null,
    spare(equipment, position, kind, serial) {
      const variants = fittingVariants(equipment, position.facts, kind).filter(({ fit }) => fit.ok)
      const now = position.fitted.find(unit => unit.kind === kind)
      const same = variants.find(({ unit }) => unit.variant === now?.variant)
      const chosen = same ?? variants[0]
      return chosen ? { kind, serial: serial ?? freshSerial(), variant: chosen.unit.variant } : null
    },
    swap(position, into) {
      position.fitted = [...position.fitted.filter(unit => unit.kind !== into.kind), into]
    },
  }
}
