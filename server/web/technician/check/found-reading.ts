import { correctionLine, type Taken } from '../../../measurement/readings/taken.ts'
import { oddsWords, ruleWords, type Verdict } from '../../../measurement/verdicts/verdict.ts'

/** What stands beside a verdict: which rule, how likely, and how the reading was taken. A line each. */
export function readingWords(verdict: Verdict, taken: Taken | null | undefined): string[] {
  const { correction = null, confirmed = [], wetOrDry = null } = taken ?? {}
  const working = correctionLine(taken)
  const typed = correction?.typed.map(one => `${one.text} (${one.what})`).join(', ')
  const lines = [
    working && `Worked out: ${working}.`,
    typed && `Typed: ${typed}.`,
    correction?.advice,
    wetOrDry && `Taken ${wetOrDry}.`,
    confirmed.length > 0 && `Confirmed first: ${confirmed.join('; ')}.`,
    ruleWords(verdict),
    // Of a reading that nothing physical could give, the odds say nothing.
    verdict.implausible ? null : oddsWords(verdict.probability),
  ]
  return lines.flatMap(line => line || [])
}
