import type { Check } from '../../../knowledge/types.ts'
import { INSULATION_SOURCE, insulationTests } from '../../../measurement/electrics/insulation.ts'
import type { Instrument } from '../../../measurement/instruments/instrument.ts'
import { formatIn } from '../../../measurement/readings/format.ts'
import { getUnit } from '../../../measurement/readings/units.ts'
import type { WalkInHand } from '../in-hand/fault-in-hand.ts'
import { isByVoltDrop } from './corrected-reading.ts'
import { aboutInsulation, expectedRange, type Gate, gateOf, measures, suitabilityOf } from './judged.ts'

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
  const voltDrop = isByVoltDrop({ text: '', drop: field(values, 'drop'), current: field(values, 'current') })
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

/** The gate before an insulation test with its words joined: what is confirmed, why it is not open yet. */
function withWords(gate: Gate) {
  return {
    ...gate,
    confirmed: gate.items.map(item => item.words).join(' · '),
    why: gate.reasons.join(' '),
  }
}

/** The tests by circuit, for showing, with their source. */
function insulationTable() {
  return {
    source: INSULATION_SOURCE,
    rows: insulationTests().map(test => ({
      circuit: test.circuit,
      volts: formatIn(test.testVoltage, 'V DC', 'V DC'),
      least: `at least ${formatIn(test.minimum, 'ohm', 'Mohm')}`,
    })),
  }
}
