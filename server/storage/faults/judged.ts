// A reading with what it was held against, to columns and back; the same for a finding and for a proof.

import type { Range } from '../../measurement/limits/expectation.ts'
import type { Reading } from '../../measurement/readings/reading.ts'
import type { Taken } from '../../measurement/readings/taken.ts'
import type { Verdict } from '../../measurement/verdicts/verdict.ts'

interface Judged {
  reading: Reading
  range: Range | null
  verdict: Verdict
  instrument: string | null
  taken?: Taken | null
}

export interface JudgedColumns {
  tree: string | null
  check: string | null
  text: string | null
  reading: string | null
  range: string | null
  verdict: string | null
  instrument: string | null
  taken: string | null
  reason: string | null
}

/** `value` is in the unit's base; null where the meter gave no number of its own (open, none, more than, less than). */
export function readingColumns({ reading, range, verdict, instrument, taken }: Judged) {
  return {
    reading: JSON.stringify(reading),
    range: range === null ? null : JSON.stringify(range),
    verdict: JSON.stringify(verdict),
    value: number(reading),
    unit: reading.unit,
    instrument,
    taken: taken ? JSON.stringify(taken) : null,
  }
}

export function judged({ reading, range, verdict, instrument, taken }: JudgedColumns): Judged {
  return {
    reading: JSON.parse(reading ?? 'null') as Reading,
    range: range === null ? null : (JSON.parse(range) as Range),
    verdict: JSON.parse(verdict ?? 'null') as Verdict,
    instrument,
    ...(taken === null ? {} : { taken: JSON.parse(taken) as Taken }),
  }
}

function number(reading: Reading): number | null {
  if (reading.kind === 'value') return reading.value
  if (reading.kind === 'unstable') return (reading.low + reading.high) / 2
  return null
}
