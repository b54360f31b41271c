import { groundPlan } from '../../../charts/ground-plan.ts'
import { type BarReading, rangeBar, smallRangeBar } from '../../../charts/range-bar.ts'
import { factOfRole } from '../../../knowledge/roles.ts'
import type { Check } from '../../../knowledge/types.ts'
import { namesOf, type Range } from '../../../measurement/limits/expectation.ts'
import { nameKey } from '../../../measurement/limits/formula.ts'
import { formatBound } from '../../../measurement/readings/format.ts'
import { formatReading, type Reading } from '../../../measurement/readings/reading.ts'
import { convert } from '../../../measurement/readings/units.ts'
import type { WalkInHand } from '../in-hand/fault-in-hand.ts'

/** The expected range drawn as a bar, the reading on it once it is in. */
export function expectedBar(
  range: Range,
  reading: Reading | null,
  uncertainty: number | null = null,
): string {
  return rangeBar(range, reading && onBar(reading, uncertainty ?? 0), value => formatBound(value, range))
}

/** The same without words, for a line of the record; empty where nothing was expected. */
export function smallExpectedBar(range: Range | null, reading: Reading): string {
  return range ? smallRangeBar(range, onBar(reading, 0)) : ''
}

function onBar(reading: Reading, unsure: number): BarReading {
  const label = formatReading(reading)
  switch (reading.kind) {
    case 'value':
      return { low: reading.value, high: reading.value, label, unsure, off: null }
    case 'unstable':
      return { low: reading.low, high: reading.high, label, unsure, off: null }
    case 'more than':
      return { low: reading.value, high: reading.value, label, unsure: 0, off: null }
    case 'less than':
      return { low: reading.value, high: reading.value, label, unsure: 0, off: null }
    case 'open':
      return { low: null, high: null, label, unsure: 0, off: 'high' }
    case 'none':
      return { low: null, high: null, label, unsure: 0, off: 'low' }
  }
}

/** The ground to scale, where the check is about the spacing of the loops or its limit hangs on the cable; else null. */
export function groundOf(walk: WalkInHand, check: Check, range: Range | null): string | null {
  const about = subject(walk, check)
  if (!about) return null
  const spacing = metresOf(walk, 'loop spacing')
  const given = about === 'spacing' && range?.unit === 'm' && !check.blind
  const { min = null, max = null } = given ? range : {}
  const spacingRange = min !== null && max !== null ? { min, max } : null
  return groundPlan({ about, cable: metresOf(walk, 'cable length'), spacing, spacingRange }) || null
}

function subject({ equipment }: WalkInHand, { does }: Check): 'cable' | 'spacing' | null {
  if (does.kind !== 'measure') return null
  if (does.role === 'loop spacing') return 'spacing'
  const cable = factOfRole(equipment, 'cable length')
  const names = does.expectation ? namesOf(does.expectation) : []
  return cable && names.some(name => nameKey(name) === nameKey(cable.name)) ? 'cable' : null
}

/** The fact of this role in metres; null when the position has none. */
function metresOf({ equipment, position }: WalkInHand, role: 'cable length' | 'loop spacing'): number | null {
  const fact = factOfRole(equipment, role)
  const written = fact && position.facts[fact.name]
  const value = written ? Number(written.replace(',', '.')) : Number.NaN
  return fact?.unit && Number.isFinite(value) && value > 0 ? convert(value, fact.unit, 'm') : null
}
