import { type BarReading, rangeBar, smallRangeBar } from '../../../charts/range-bar.ts'
import type { Range } from '../../../measurement/limits/expectation.ts'
import { formatQuantity } from '../../../measurement/readings/format.ts'
import { formatReading, type Reading } from '../../../measurement/readings/reading.ts'

/** The expected range drawn as a bar, the reading on it once it is in. */
export function expectedBar(
  range: Range,
  reading: Reading | null,
  uncertainty: number | null = null,
): string {
  return rangeBar(range, reading && onBar(reading, uncertainty ?? 0), value =>
    formatQuantity(value, range.unit),
  )
}

/** The same without words, for a line of the record; empty where nothing was expected. */
export function smallExpectedBar(range: Range | null, reading: Reading): string {
  return range ? smallRangeBar(range, onBar(reading, 0)) : ''
}

function onBar(reading: Reading, unsure: number): BarReading {
  const label = formatReading(reading)
  switch (reading.kind) {
    case 'value':
      return { low: reading.value, high: reading.value, label, unsure, off: null }
    case 'unstable':
      return { low: reading.low, high: reading.high, label, unsure, off: null }
    case 'more than':
      return { low: reading.value, high: reading.value, label, unsure: 0, off: null }
    case 'less than':
      return { low: reading.value, high: reading.value, label, unsure: 0, off: null }
    case 'open':
      return { low: null, high: null, label, unsure: 0, off: 'high' }
    case 'none':
      return { low: null, high: null, label, unsure: 0, off: 'low' }
  }
}
