import { factOfRole } from '../../../knowledge/roles.ts'
import type { Equipment, Limit } from '../../../knowledge/types.ts'
import { type NearestTone, nearestTone, type Tone } from '../../../measurement/electrics/tones.ts'
import { resolveConstant } from '../../../measurement/limits/expectation.ts'
import type { Reading } from '../../../measurement/readings/reading.ts'
import { convert } from '../../../measurement/readings/units.ts'
import type { Deps } from '../../deps.ts'
import type { FaultInHand } from '../in-hand/fault-in-hand.ts'

/**
 * Which tone a measured frequency is, and whether it belongs to the other direction; null where the reading is no
 * frequency or the position has no tones on record. The plan: the tones of every position of this equipment, and the
 * limits for the tones of one direction.
 */
export function toneFound(deps: Deps, fault: FaultInHand, reading: Reading): NearestTone | null {
  if (reading.kind !== 'value' || reading.unit !== 'Hz' || !(reading.value > 0)) return null
  const { equipment, position } = fault
  const direction = factOfRole(equipment, 'direction')
  const tones = toneFacts(equipment)
  if (!direction || ![...tones.keys()].some(name => position.facts[name] !== undefined)) return null
  const plan = [
    ...tonesOfPositions(deps, equipment.slug, tones, direction.name),
    ...equipment.limits.flatMap(toneOfLimit),
  ]
  return plan.length > 0 ? nearestTone(reading.value, plan, position.facts[direction.name] ?? null) : null
}

/** Name and unit of each fact that is a tone. */
function toneFacts({ facts }: Equipment): Map<string, string> {
  return new Map(
    facts.flatMap(({ name, unit, role }): [string, string][] =>
      role === 'tone' && unit ? [[name, unit]] : [],
    ),
  )
}

function tonesOfPositions(
  deps: Deps,
  equipment: string,
  units: Map<string, string>,
  directionName: string,
): Tone[] {
  const used = deps.storage.tonesInUse.list(equipment, [...units.keys()], directionName)
  return used.flatMap(({ fact, value, direction }) => {
    const number = Number(value.replace(',', '.'))
    const unit = units.get(fact)
    return unit && number > 0 ? [tone(fact, direction, convert(number, unit, 'Hz'))] : []
  })
}

/** "arming tone, opposite direction: 64.75 kHz ± 0.25 kHz": its middle. */
function toneOfLimit({ tone: named, expectation }: Limit): Tone[] {
  const range = named && expectation ? resolveConstant(expectation) : null
  if (!named || range?.min == null || range.max === null) return []
  return [tone(named.purpose, named.direction, (range.min + range.max) / 2)]
}

function tone(purpose: string, direction: string, frequency: number): Tone {
  return { name: `the ${purpose}`, frequency, direction, purpose: `the ${purpose}` }
}
