import { refKey } from '../../knowledge/graph.ts'
import type { Check } from '../../knowledge/types.ts'
import { findUnit } from '../../measurement/units.ts'
import type { FaultInHand } from './fault-in-hand.ts'

/** What the formulas of a check may name here: the position's facts, and earlier readings as `reading of <title>`. */
export type ExpectationValues = Map<string, { value: number; unit: string } | string>

export function expectationValues(fault: FaultInHand, check: Check): ExpectationValues {
  const values: ExpectationValues = new Map()
  for (const fact of fault.equipment.facts) {
    const written = fault.position.facts[fact.name]
    if (written === undefined) continue
    const number = fact.unit ? Number(written.replace(',', '.')) : Number.NaN
    const unit = fact.unit ? findUnit(fact.unit) : null
    values.set(fact.name, unit && Number.isFinite(number) ? { value: number, unit: unit.symbol } : written)
  }
  for (const step of fault.walk.path) {
    if (step.kind !== 'check' || step.finding.kind !== 'reading' || step.finding.reading.kind !== 'value')
      continue
    if (refKey(step.finding.check) === refKey({ tree: check.tree, check: check.slug })) continue
    const { value, unit } = step.finding.reading
    values.set(`reading of ${step.check.title}`.toLowerCase(), { value, unit })
  }
  return values
}
