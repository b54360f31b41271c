import { chiSquareQuantile } from '../../statistics/chi-square.ts'
import { countWords, durationWords, percentWords } from '../../words.ts'
import { cannotSay, type Explained, term } from '../explained.ts'
import type { TrendVerdict } from './fault-trend.ts'

export interface MeanTimeBetween {
  /** null at zero faults. */
  days: number | null
  low: number
  /** null at zero faults. */
  high: number | null
}

/**
 * Mean service time between faults over a period ended by time, in days, with
 * its limits. At zero faults only a lower bound. While there is a trend no
 * single figure is true, so none is given. NIST/SEMATECH e-Handbook 8.4.5.1.
 */
export function meanTimeBetween(
  faults: number,
  serviceDays: number,
  trend: Pick<TrendVerdict, 'value' | 'words'> | null,
  confidence = 0.95,
): Explained<MeanTimeBetween | null> {
  const terms = [
    term('faults', faults, `${countWords(faults, 'fault')} counted`),
    term('service', serviceDays, `${durationWords(serviceDays)} in service, all positions together`),
  ]
  if (!(serviceDays > 0)) return cannotSay('No time in service, so no mean time between faults.', terms)
  if (trend?.value === 'worse' || trend?.value === 'better')
    return cannotSay(`No single figure while there is a trend. ${trend.words}`, terms)
  if (faults === 0) return lowerBound(serviceDays, confidence, terms)
  const { low, high } = meanTimeFactors(faults, confidence)
  const days = serviceDays / faults
  const span = `${durationWords(low * days)} to ${durationWords(high * days)}`
  return {
    value: { days, low: low * days, high: high * days },
    words: `${durationWords(days)} of service between faults (${span}, ${percentWords(confidence)} limits, n = ${faults})`,
    terms: [
      ...terms,
      term('low', low * days, `mean × ${low.toFixed(4)}, chi-square on ${2 * faults + 2} degrees`),
      term('high', high * days, `mean × ${high.toFixed(4)}, chi-square on ${2 * faults} degrees`),
    ],
  }
}

/** What the mean is multiplied by for its two-sided limits, at one fault or more. */
export function meanTimeFactors(faults: number, confidence: number): { low: number; high: number } {
  const tail = (1 - confidence) / 2
  return {
    low: (2 * faults) / chiSquareQuantile(1 - tail, 2 * faults + 2),
    high: (2 * faults) / chiSquareQuantile(tail, 2 * faults),
  }
}

function lowerBound(
  serviceDays: number,
  confidence: number,
  terms: Explained['terms'],
): Explained<MeanTimeBetween> {
  const low = serviceDays / -Math.log(1 - confidence)
  return {
    value: { days: null, low, high: null },
    words: `No fault in ${durationWords(serviceDays)} of service: at least ${durationWords(low)} between faults (${percentWords(confidence)} bound)`,
    terms: [...terms, term('low', low, 'service / −ln(1 − confidence), one-sided')],
  }
}
