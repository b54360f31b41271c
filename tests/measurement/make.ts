import type { Instrument, InstrumentFunction } from '../../server/measurement/instruments/instrument.ts'
import type { Range } from '../../server/measurement/limits/expectation.ts'
import { formatRange } from '../../server/measurement/readings/format.ts'
import type { Reading } from '../../server/measurement/readings/reading.ts'

/** A range in base units, as a limit without a formula gives it. */
export function range(
  min: number | null,
  max: number | null,
  unit: string,
  more: Partial<Range> = {},
): Range {
  const bare = { min, max, unit, from: 'Demo value', demo: true, working: null, floor: null, ...more }
  return { ...bare, text: formatRange(bare) }
}

/** A reading of one value, base unit. */
export function value(number: number, unit: string, resolution = 0.1): Extract<Reading, { kind: 'value' }> {
  return { kind: 'value', value: number, resolution, unit }
}

/** A meter with one function. */
export function meter(
  unit: string,
  accuracy: InstrumentFunction['accuracy'],
  top = 600,
  more: Partial<InstrumentFunction> = {},
): Instrument {
  return {
    id: 'meter-1',
    kind: 'multimeter',
    serial: 'M 104',
    calibrationDue: '2026-12-31',
    functions: [{ unit, range: top, accuracy, method: 'direct', ...more }],
  }
}

/** No-break spaces as plain ones, so that expected texts can be typed. */
export function plain(text: string | null | undefined): string {
  return (text ?? '').replace(/\u00a0/g, ' ')
}
