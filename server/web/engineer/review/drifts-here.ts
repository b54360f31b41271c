import { driftChart } from '../../../charts/drift-chart.ts'
import { driftOf } from '../../../history/readings/drift.ts'
import { cutAtBreaks } from '../../../history/readings/series.ts'
import { driftPicture } from '../../../review/drift-picture.ts'
import { driftWords } from '../../../review/drift-words.ts'
import type { ReadingSeries } from '../../../storage/history/history-readings.ts'
import type { ReviewWords } from './review-words.ts'

const fewestReadings = 3
const mostChecks = 8

/** The readings of each check at one position since the last work on it, drawn against their limits. */
export function driftsHere(series: ReadingSeries[], { nameOf, day }: ReviewWords) {
  return series
    .filter(one => one.readings.filter(reading => reading.value !== null).length >= fewestReadings)
    .slice(0, mostChecks)
    .map((one, i) => {
      const readings = cutAtBreaks(one.readings, one.breaks).at(-1)?.readings ?? []
      const drift = driftOf(readings, [])
      const title = nameOf.check(one)
      const entry = { series: one, readings, drift }
      return {
        drift,
        caption: `${title}. ${driftWords(entry, null, day)}`,
        chart: driftChart(driftPicture(`check-${i}`, entry, title)),
      }
    })
}
