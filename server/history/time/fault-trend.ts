import { chanceWords } from '../../words.ts'
import { cannotSay, type Explained, term } from '../explained.ts'
import { type Ending, laplace, militaryHandbook, reverseArrangement, type TrendTest } from './trend-tests.ts'

export type FaultTrend = 'worse' | 'better' | 'none seen'

export interface TrendVerdict extends Explained<FaultTrend | null> {
  /**
   * Two-sided chance of the military handbook test, exact, for
   * looking across many positions; null when it cannot say.
   */
  chance: number | null
}

/**
 * Whether faults come faster or slower with time. A trend is seen when the military handbook test, which is
 * exact, finds one at the stated chance; the other two tests are shown beside it.
 */
export function faultTrend(times: readonly number[], ending: Ending, atMost = 0.05): TrendVerdict {
  const handbook = militaryHandbook(times, ending)
  const slope = laplace(times, ending)
  if (handbook === null || slope === null || handbook.n < 3)
    return { ...cannotSay('Fewer than three faults: too few to see a trend.'), chance: null }
  const chance = Math.min(1, 2 * Math.min(handbook.worse, handbook.better))
  const value = chance > atMost ? 'none seen' : handbook.worse < handbook.better ? 'worse' : 'better'
  const words = {
    worse: `Getting worse: ${chanceWords(chance)}.`,
    better: `Getting better: ${chanceWords(chance)}.`,
    'none seen': 'No trend seen.',
  }
  const terms = [
    ...termsOf('Laplace', slope, 'above zero is worse'),
    ...termsOf('power-law trend', handbook, `chi-square on ${2 * handbook.n} degrees, low is worse`),
    ...termsOf('reverse arrangement', reverseArrangement(times), 'pairs of gaps that grow, few is worse'),
    term(
      'ending',
      ending.by === 'time' ? 'by time' : 'by a fault',
      'how the watching ended, which decides whether the last fault counts',
    ),
  ]
  return { value, words: words[value], terms, chance }
}

function termsOf(name: string, test: TrendTest | null, words: string) {
  if (test === null) return []
  const chance = Math.min(1, 2 * Math.min(test.worse, test.better))
  return [term(name, test.statistic, words), term(`${name} chance`, chance, chanceWords(chance))]
}
