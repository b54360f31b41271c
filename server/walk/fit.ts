// Which unit may go in at a position, judged by its variant and never by what was taken out.

import type { Equipment, FitCondition, UnitVariant } from '../knowledge/types.ts'

export type Fit = { ok: true } | { ok: false; reason: string }

/** The facts of a position by name, as stored: "direction" → "normal". */
export type PositionFacts = Record<string, string>

/** Whether a variant of a kind of unit may be fitted here; if not, the reason in a sentence. */
export function mayBeFitted(equipment: Equipment, facts: PositionFacts, kind: string, variant: string): Fit {
  const ofKind = equipment.units.filter(unit => same(unit.kind, kind))
  if (ofKind.length === 0) return no(`The ${equipment.name} has no unit of the kind “${kind}”.`)
  const match = ofKind.find(unit => same(unit.variant, variant))
  if (!match) {
    const variants = ofKind.map(unit => unit.variant).join(', ')
    return no(`“${variant}” is no variant of the ${kind}. The variants are: ${variants}.`)
  }
  const broken = match.fits.find(condition => !holds(condition, facts))
  return broken ? no(whyNot(match, broken, facts)) : { ok: true }
}

/** Every variant of a kind, each with whether it may be fitted here. */
export function fittingVariants(
  equipment: Equipment,
  facts: PositionFacts,
  kind: string,
): { unit: UnitVariant; fit: Fit }[] {
  return equipment.units
    .filter(unit => same(unit.kind, kind))
    .map(unit => ({ unit, fit: mayBeFitted(equipment, facts, unit.kind, unit.variant) }))
}

/** The units of those fitted that are of a superseded variant, as `transmitter module silver, serial 12`. */
export function supersededOf(
  equipment: Equipment,
  fitted: { kind: string; variant: string; serial: string }[],
): string[] {
  const old = equipment.units.filter(unit => unit.superseded)
  return fitted
    .filter(one => old.some(({ kind, variant }) => same(kind, one.kind) && same(variant, one.variant)))
    .map(({ kind, variant, serial }) => `${kind} ${variant}, serial ${serial}`)
}

/** Does the condition hold here? A fact that is not on record holds nothing. */
export function holds(condition: FitCondition, facts: PositionFacts): boolean {
  const fact = factOf(facts, condition.fact)
  return fact !== null && condition.values.some(value => same(value, fact))
}

function factOf(facts: PositionFacts, name: string): string | null {
  return Object.entries(facts).find(([fact]) => same(fact, name))?.[1] ?? null
}

function whyNot(unit: UnitVariant, condition: FitCondition, facts: PositionFacts): string {
  const wanted = condition.values.join(' or ')
  const here = factOf(facts, condition.fact)
  const given = here === null ? 'which is not on record here' : `here it is ${here}`
  return `“${unit.variant}” is only for positions where ${condition.fact} is ${wanted}; ${given}.`
}

function same(a: string, b: string): boolean {
  return a.trim().toLowerCase() === b.trim().toLowerCase()
}

function no(reason: string): Fit {
  return { ok: false, reason }
}
