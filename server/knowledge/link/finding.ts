import type { RowMatch } from '../types.ts'
import { type ReadExpectation, readExpectation } from './expectation.ts'

const PLAIN = new Map<string, RowMatch>(
  (['in range', 'below', 'above', 'none', 'open', 'cannot tell', 'otherwise'] as const).map(kind => [
    kind,
    { kind },
  ]),
)

/** What a finding cell of a measurement stands for: a verdict's word, or a band in the check's unit. */
export function readFinding(label: string, unit: string | null): { match: RowMatch } | ReadExpectation {
  const match = PLAIN.get(label) ?? PLAIN.get(label.trim().replace(/\s+/g, ' ').toLowerCase())
  if (match) return { match }
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
