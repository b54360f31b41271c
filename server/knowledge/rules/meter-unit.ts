import { findUnit, type Unit } from '../../measurement/readings/units.ts'
import { readFixedRange } from '../link/expectation.ts'
import type { Problem } from '../problem.ts'
import type { KeyLine } from '../read/document.ts'
import type { Measures } from '../types.ts'
import type { GraphContext } from './context.ts'
import { eachCheck } from './each.ts'
import { problemAt, quoted } from './problem-at.ts'

/**
 * A field in another unit than the meter: `Meter: mV DC` at a check in ohms, `Fault shows:` amperes at a check in
 * volts, or an instruction that sets the meter to millivolts where the field is in volts, which is
 * a warning.
 */
export function meterUnit(context: GraphContext): Problem[] {
  return eachCheck(context).flatMap(({ draft, section, check: { does, instruction } }) => {
    if (does.kind !== 'measure') return []
    const strange = section.keys.filter(line => isStrange(line, does))
    if (strange.length > 0)
      return strange.map(({ line, value }) =>
        problemAt(draft.doc, line, {
          code: 'meter-unit',
          found: `${quoted(value)} does not go with a reading in ${does.unit}.`,
          expected: `What a meter shows here is in ${does.unit}, or in that with another prefix.`,
          mend: 'Correct the unit here, or that of the limit.',
        }),
      )
    const set = unitSet(instruction)
    if (!set || set.base !== findUnit(does.unit)?.base || set.symbol === findUnit(does.meter)?.symbol)
      return []
    return [
      problemAt(draft.doc, section.line, {
        code: 'meter-unit',
        severity: 'warning',
        found: `The instruction sets the meter to ${set.symbol}, and the field is in ${does.meter}.`,
        expected: 'A number is typed as the meter shows it: the field has the meter’s unit.',
        mend: `Write - Meter: ${set.symbol}, or correct the instruction.`,
      }),
    ]
  })
}

function isStrange({ key, value }: KeyLine, { unit }: Measures): boolean {
  const given =
    key === 'Meter' ? findUnit(value)?.base : key === 'Fault shows' ? readFixedRange(value)?.unit : null
  const base = findUnit(unit)?.base
  return given != null && base !== undefined && given !== base
}

/** "Set the meter to DC millivolts" */
const SETTING = /\bset the \w+ to (?:(AC|DC) )?(milli|micro|kilo|meg|mega)?(volts|amperes|amps|ohms|hertz)\b/i
const PREFIXES = new Map([
  ['milli', 'm'],
  ['micro', 'µ'],
  ['kilo', 'k'],
  ['meg', 'M'],
  ['mega', 'M'],
])

/** The unit an instruction says to set; null where it names none, or volts that are neither AC nor DC. */
function unitSet(instruction: string): Unit | null {
  const [, current = '', prefix = '', quantity = ''] = SETTING.exec(instruction) ?? []
  const base = quantity.toLowerCase().startsWith('amp') ? 'A' : quantity.toLowerCase()
  const symbol = `${PREFIXES.get(prefix.toLowerCase()) ?? ''}${base === 'volts' ? `V ${current}` : base}`
  return quantity ? findUnit(symbol) : null
}
