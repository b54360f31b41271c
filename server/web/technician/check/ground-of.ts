import { groundPlan } from '../../../charts/ground-plan.ts'
import type { Check } from '../../../knowledge/types.ts'
import { namesOf, type Range } from '../../../measurement/limits/expectation.ts'
import type { WalkInHand } from './walk-in-hand.ts'

/** The ground to scale, where the check is about the spacing of the loops or its limit hangs on the cable; else null. */
export function groundOf(walk: WalkInHand, check: Check, range: Range | null): string | null {
  const about = subject(check)
  if (!about) return null
  const spacing = metresOf(walk, 'loop spacing')
  const given = about === 'spacing' && range?.unit === 'm' && !check.blind
  const { min = null, max = null } = given ? range : {}
  const spacingRange = min !== null && max !== null ? { min, max } : null
  return groundPlan({ about, cable: metresOf(walk, 'cable length'), spacing, spacingRange }) || null
}

function subject({ does }: Check): 'cable' | 'spacing' | null {
  if (does.kind !== 'measure') return null
  if (/\bspacing\b/.test(does.quantity)) return 'spacing'
  const names = does.expectation ? namesOf(does.expectation) : []
  return names.includes('cable length') ? 'cable' : null
}

/** A fact in metres as a number; null when the position has none. */
function metresOf(walk: WalkInHand, name: string): number | null {
  const known = walk.equipment.facts.find(fact => fact.name === name && fact.unit === 'm')
  const written = known && walk.position.facts[name]
  const value = written ? Number(written.replace(',', '.')) : Number.NaN
  return Number.isFinite(value) && value > 0 ? value : null
}
