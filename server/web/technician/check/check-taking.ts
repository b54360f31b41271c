import type { Check } from '../../../knowledge/types.ts'
import type { Instrument } from '../../../measurement/instruments/instrument.ts'
import { getUnit } from '../../../measurement/readings/units.ts'
import { aboutInsulation, gateOf, insulationTable } from './check-insulation.ts'
import { byVoltDrop } from './corrected-reading.ts'
import { withWords } from './gate-words.ts'
import { expectedRange, measures } from './judged.ts'
import { suitabilityOf } from './suitability-words.ts'
import type { WalkInHand } from './walk-in-hand.ts'

const parts = ['series', 'leads', 'leadOhms', 'drop', 'current']
const partsAndText = [...parts, 'text']

/** How the reading of a check is taken: what must be so first, with what, and what it may be worked out of. */
export function takingOf(
  walk: WalkInHand,
  check: Check,
  instrument: Instrument | null,
  values: Record<string, unknown>,
  errors: Record<string, string>,
) {
  if (!measures(check)) return null
  const { range } = expectedRange(walk, check)
  const { base } = getUnit(check.does.unit)
  const voltDrop = byVoltDrop({ text: '', drop: field(values, 'drop'), current: field(values, 'current') })
  const suitability = suitabilityOf(check, range, instrument, voltDrop)
  const gate = gateOf(check, values)
  return {
    gate: gate && withWords(gate),
    ...suitability,
    /** The gate alone is shown first; once a reading was typed, both are. */
    gateFirst: gate !== null && gate.reasons.length > 0 && !partsAndText.some(name => field(values, name)),
    insulation: aboutInsulation(check) ? insulationTable() : null,
    leads: base === 'ohm',
    dropUnit: base === 'ohm' ? 'V DC' : base === 'ohm AC' ? 'V AC' : null,
    unfolded: suitability.refusals.length > 0 || parts.some(name => field(values, name) || errors[name]),
  }
}

function field(values: Record<string, unknown>, name: string): string {
  return typeof values[name] === 'string' ? values[name] : ''
}
