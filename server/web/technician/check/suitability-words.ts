import type { Check, Measures } from '../../../knowledge/types.ts'
import type { Instrument } from '../../../measurement/instruments/instrument.ts'
import { instrumentNeeds, unsuitable } from '../../../measurement/instruments/suitability.ts'
import type { Range } from '../../../measurement/limits/expectation.ts'

export interface Suitability {
  /** Why a reading with this instrument is not recorded. */
  refusals: string[]
  /** What to mind before the reading is taken. */
  cautions: string[]
}

/**
 * The instrument in hand against what the check needs. By volt drop under load it must read volts; its ohms range, and
 * what that puts on the contact, then don't matter. Nothing to say where no instrument is named.
 */
export function suitabilityOf(
  check: Check & { does: Measures },
  range: Range | null,
  instrument: Instrument | null,
  voltDrop: boolean,
): Suitability {
  if (!instrument) return { refusals: [], cautions: [] }
  const needs = instrumentNeeds(check.instrument, check.does.unit, range)
  const wanted = voltDrop ? { ...needs, ...byVoltDrop(check.does.unit) } : needs
  const found = unsuitable(instrument, wanted)
  const told = (severity: 'refuse' | 'caution') =>
    found.filter(one => one.severity === severity).map(one => one.because)
  return { refusals: told('refuse'), cautions: told('caution') }
}

function byVoltDrop(unit: string) {
  const volts = unit.endsWith('AC') ? 'V AC' : 'V DC'
  return { unit: volts, method: null, testVoltage: null, mostTestVoltage: null, electronicsConnected: false }
}
