import type { Equipment } from '../../../knowledge/types.ts'
import { type NearestTone, nearestTone, type Tone } from '../../../measurement/electrics/tones.ts'
import { resolveConstant } from '../../../measurement/limits/expectation.ts'
import type { Reading } from '../../../measurement/readings/reading.ts'
import { convert, findUnit } from '../../../measurement/readings/units.ts'
import type { Deps } from '../../deps.ts'
import type { FaultInHand } from '../in-hand/fault-in-hand.ts'

/**
 * Which tone a measured frequency is, and whether it belongs to the other direction; null where the reading is no
 * frequency or the position has no tones on record. The plan: the tones of every position of this equipment, and any
 * limit that names a direction in its name.
 */
export function toneFound(deps: Deps, fault: FaultInHand, reading: Reading): NearestTone | null {
  if (reading.kind !== 'value' || reading.unit !== 'Hz' || !(reading.value > 0)) return null
  const { equipment, position } = fault
  const direction = directionFact(equipment)
  const tones = equipment.facts.filter(fact => fact.unit !== null && isFrequency(fact.unit))
  if (!direction || !tones.some(fact => position.facts[fact.name] !== undefined)) return null
  const plan = [
    ...tonesOfPositions(deps, equipment, direction.name),
    ...tonesOfLimits(equipment, direction.choices),
  ]
  return plan.length > 0 ? nearestTone(reading.value, plan, position.facts[direction.name] ?? null) : null
}

function directionFact({ facts }: Equipment) {
  return facts.find(fact => fact.choices.includes('normal') && fact.choices.includes('opposite')) ?? null
}

function isFrequency(unit: string): boolean {
  return findUnit(unit)?.base === 'Hz'
}

function tonesOfPositions(deps: Deps, equipment: Equipment, directionName: string): Tone[] {
  const units = new Map(
    equipment.facts.flatMap(({ name, unit }) => (unit && isFrequency(unit) ? [[name, unit]] : [])),
  )
  const used = deps.storage.tonesInUse.list(equipment.slug, [...units.keys()], directionName)
  return used.flatMap(({ fact, value, direction }) => {
    const number = Number(value.replace(',', '.'))
    const unit = units.get(fact)
    return unit && number > 0 ? [tone(fact, direction, convert(number, unit, 'Hz'))] : []
  })
}

/** A limit such as "arming tone, opposite direction: 64.75 kHz ± 0.25 kHz": its middle. */
function tonesOfLimits({ limits }: Equipment, directions: string[]): Tone[] {
  return limits.flatMap(({ name, unit, expectation }) => {
    const direction = directions.find(word => name.includes(word))
    const range = expectation && isFrequency(unit) ? resolveConstant(expectation) : null
    if (!direction || range?.min == null || range.max === null) return []
    return [
      tone(
        name.replace(/,? *\(?(normal|opposite)( direction)?\)?/, ''),
        direction,
        (range.min + range.max) / 2,
      ),
    ]
  })
}

function tone(purpose: string, direction: string, frequency: number): Tone {
  return { name: `the ${purpose}`, frequency, direction, purpose: `the ${purpose}` }
}
