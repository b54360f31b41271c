import type { RowMatch } from '../types.ts'
import { type ReadExpectation, readExpectation } from './expectation.ts'

const VERDICTS = ['in range', 'below', 'above', 'none', 'open'] as const

/** What a finding cell of a measurement stands for: a verdict's word, or a band in the check's unit. */
export function readFinding(label: string, unit: string | null): { match: RowMatch } | ReadExpectation {
  const word = label.trim().replace(/\s+/g, ' ').toLowerCase()
  const verdict = VERDICTS.find(name => name === word)
  if (verdict) return { match: { kind: verdict } }
  if (word === 'cannot tell' || word === 'otherwise') return { match: { kind: word } }
  const read = readExpectation(label, unit)
  return read.ok ? { match: { kind: 'band', expectation: read.expectation } } : read
}

/** What a finding cell of an observation stands for. */
export function readObservation(label: string): RowMatch {
  const word = label.trim().replace(/\s+/g, ' ')
  const lower = word.toLowerCase()
  if (lower === 'cannot tell' || lower === 'otherwise') return { kind: lower }
  return { kind: 'word', word }
}
