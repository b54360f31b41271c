import type { Check } from '../../knowledge/types.ts'
import type { Instrument } from '../../measurement/instrument.ts'
import { getUnit } from '../../measurement/units.ts'
import { aboutInsulation, gateOf, insulationTable } from './check-insulation.ts'
import { byVoltDrop } from './corrected-reading.ts'
import type { FaultInHand } from './fault-in-hand.ts'
import { expectedRange, measures } from './judged.ts'
import { suitabilityOf } from './suitability-words.ts'

const parts = ['series', 'leads', 'leadOhms', 'drop', 'current']

/** How the reading of a check is taken: what must be so first, with what, and what it may be worked out of. */
export function takingOf(
  fault: FaultInHand,
  check: Check,
  instrument: Instrument | null,
  values: Record<string, unknown>,
  errors: Record<string, string>,
) {
  if (!measures(check)) return null
  const field = (name: string) => (typeof values[name] === 'string' ? values[name] : '')
  const { range } = expectedRange(fault, check)
  const { base } = getUnit(check.does.unit)
  const voltDrop = byVoltDrop({ text: '', drop: field('drop'), current: field('current') })
  const suitability = suitabilityOf(check, range, instrument, voltDrop)
  const gate = gateOf(check, values)
  return {
    ...suitability,
    gate,
    /** The gate alone is shown first; once a reading was typed, both are. */
    gateFirst: gate !== null && gate.reasons.length > 0 && !parts.concat('text').some(field),
    insulation: aboutInsulation(check) ? insulationTable() : null,
    leads: base === 'ohm',
    dropUnit: base === 'ohm' ? 'V DC' : base === 'ohm AC' ? 'V AC' : null,
    unfolded: suitability.refusals.length > 0 || parts.some(name => field(name) || errors[name]),
  }
}
