import { groundPlan } from '../../../charts/ground-plan.ts'
import { factOfRole } from '../../../knowledge/roles.ts'
import type { Check } from '../../../knowledge/types.ts'
import { namesOf, type Range } from '../../../measurement/limits/expectation.ts'
import { nameKey } from '../../../measurement/limits/formula.ts'
import { convert } from '../../../measurement/readings/units.ts'
import type { WalkInHand } from './walk-in-hand.ts'

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
