import { formatReading } from '../../../measurement/readings/reading.ts'
import { correctionLine, type Taken } from '../../../measurement/readings/taken.ts'
import { oddsWords, ruleWords, type Verdict } from '../../../measurement/verdicts/verdict.ts'
import type { CheckStep } from '../../../walk/place.ts'
import type { Finding } from '../../../walk/record.ts'

/** What was found, in a few words. */
export function foundWords(finding: Finding): string {
  switch (finding.kind) {
    case 'reading':
      return formatReading(finding.reading)
    case 'observation':
      return finding.word
    case 'cannot tell':
      return 'cannot tell'
    default:
      return finding.reason ?? ''
  }
}

/** The mark and word of a verdict: the shape says it as well as the colour. */
export function verdictMark(verdict: Verdict): { kind: string; word: string } {
  if (verdict.side === 'unknown') return { kind: 'no-verdict', word: 'No verdict' }
  if (verdict.zone.endsWith('close')) return { kind: 'close', word: closeWord(verdict) }
  switch (verdict.side) {
    case 'in range':
      return { kind: 'in', word: 'In range' }
    case 'below':
      return { kind: 'below', word: 'Below' }
    case 'above':
      return { kind: 'above', word: 'Above' }
    case 'none':
      return { kind: 'out', word: 'Nothing there' }
    case 'open':
      return { kind: 'out', word: 'Open' }
  }
}

function closeWord({ zone, side, implausible }: Verdict): string {
  if (implausible) return `${side === 'in range' ? 'In range' : 'Below'}, but lower than it can be`
  if (side === 'none' || side === 'open')
    return `Not sure: ${side === 'open' ? 'over the range' : 'no reading'}`
  return zone === 'in, close'
    ? 'In range, but too close to call'
    : `${side === 'below' ? 'Below' : 'Above'}, but too close to call`
}

/** A step's verdict as the verdict partial takes it. */
export function stepVerdict({ finding, deviation }: CheckStep) {
  const chosen = deviation ? 'The row was chosen by the technician, against the finding.' : null
  if (finding.kind !== 'reading') {
    return { kind: 'no-verdict', word: 'Seen', because: foundWords(finding), advice: chosen }
  }
  const { verdict } = finding
  return {
    ...verdictMark(verdict),
    because: verdict.because,
    advice: [verdict.advice, chosen].filter(Boolean).join(' ') || null,
  }
}

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
