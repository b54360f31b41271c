import type { Instrument } from '../../server/measurement/instruments/instrument.ts'
import { parseExpectation, resolveConstant } from '../../server/measurement/limits/expectation.ts'
import type { Reading } from '../../server/measurement/readings/reading.ts'
import { judge } from '../../server/measurement/verdicts/verdict.ts'

const READINGS = 200_000

/** Readings judged against a range with an instrument, words and all, in one thread. */
export const judgePerSecond = {
  name: 'judge-per-second',
  unit: 'readings/s',
  goal: { at: 'least' as const, value: 100_000 },
  run: async (): Promise<number> => {
    const parsed = parseExpectation('99 to 121 V AC')
    if (!parsed.ok) throw new Error(parsed.problem.found)
    const range = resolveConstant(parsed.expectation)
    const readings = spread()
    for (const reading of readings.slice(0, 20_000)) judge(reading, range, METER)
    const started = performance.now()
    let judged = 0
    for (const reading of readings) if (judge(reading, range, METER).because !== '') judged += 1
    return Math.round((judged * 1000) / (performance.now() - started))
  },
}

const METER: Instrument = {
  id: 'bench',
  kind: 'multimeter',
  serial: '1',
  calibrationDue: null,
  functions: [
    {
      unit: 'V AC',
      range: 600,
      accuracy: { percent: 1, counts: 3, resolution: 0.1 },
      method: 'direct',
    },
  ],
}

/** From well below to well above, so that every zone is met. */
function spread(): Reading[] {
  return Array.from({ length: READINGS }, (_, index) => ({
    kind: 'value',
    value: 90 + (index % 400) / 10,
    resolution: 0.1,
    unit: 'V AC',
  }))
}
