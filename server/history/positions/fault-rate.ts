import { poissonLimits } from '../../statistics/poisson.ts'
import { countWords, durationWords, numberWords, percentWords } from '../../words.ts'
import { cannotSay, type Explained, term } from '../explained.ts'

export interface FaultRate {
  perYear: number
  low: number
  high: number
}

export const yearDays = 365.25

/** Faults a year of service with exact Poisson limits (Garwood 1936); null without any time in service. */
export function faultRate(
  faults: number,
  serviceDays: number,
  confidence = 0.95,
): Explained<FaultRate | null> {
  if (!(serviceDays > 0)) return cannotSay('No time in service, so no rate.')
  const years = serviceDays / yearDays
  const limits = poissonLimits(faults, confidence)
  const value = { perYear: faults / years, low: limits.low / years, high: limits.high / years }
  const range = `${numberWords(value.low)} to ${numberWords(value.high)}`
  return {
    value,
    words: `${numberWords(value.perYear)} faults a year of service (${range}, ${percentWords(confidence)} limits)`,
    terms: [
      term('faults', faults, `${countWords(faults, 'fault')} counted`),
      term('service', serviceDays, `${durationWords(serviceDays)} in service, all positions together`),
      term('low', value.low, 'lowest rate that would still show this many often enough, exact Poisson'),
      term('high', value.high, 'highest rate that would still show this few often enough, exact Poisson'),
    ],
  }
}
