// Example runs written in a tree, walked by their findings.

import { parseReading } from '../measurement/readings/reading.ts'
import { judge } from '../measurement/verdicts/verdict.ts'
import { constantBounds } from './bounds.ts'
import { findCause, findCheck, findEnd, type Path, refKey, targetKey } from './graph.ts'
import { matchRow } from './match.ts'
import type { Check, Example, FaultTree, Knowledge, Measures, Row, Target } from './types.ts'

export interface ExampleRun {
  path: Path
  /** Null when the run ends where it should. */
  wrong: { words: string; finding: number | null } | null
}

/**
 * Walks an example from the start of its tree. A finding is the label of a row, a word, or a reading such as
 * `96.4 V`; a reading decides only where the expected range is plain numbers, as an example has no position.
 */
export function runExample(knowledge: Knowledge, tree: FaultTree, example: Example): ExampleRun {
  const given = new Map(example.findings.map((finding, index) => [refKey(finding.check), index]))
  const path: Path = []
  let at: Target = { kind: 'check', ...tree.start }
  while (at.kind === 'check') {
    const check = findCheck(knowledge, at)
    const index = given.get(refKey(at))
    if (!check || index === undefined) break
    given.delete(refKey(at))
    const taken = rowFor(check, example.findings[index]?.finding ?? '')
    if (typeof taken === 'string') return { path, wrong: { words: taken, finding: index } }
    path.push({ check, row: taken })
    at = taken.next
  }
  return { path, wrong: wrongEnd(knowledge, example, at, given) }
}

function wrongEnd(knowledge: Knowledge, example: Example, at: Target, left: Map<string, number>) {
  if (targetKey(at) !== targetKey(example.expected)) {
    const wanted = titleOf(knowledge, example.expected)
    const words = `The run comes to “${titleOf(knowledge, at)}”, and not to “${wanted}”.`
    return { words, finding: null }
  }
  const [unused] = left.values()
  if (unused === undefined) return null
  return { words: 'The run never comes to the check of this line, or came to it before.', finding: unused }
}

function rowFor(check: Check, finding: string): Row | string {
  const row = check.rows.find(candidate => sameWords(candidate.label, finding))
  if (row) return row
  return byFinding(check, finding) ?? `“${check.title}” has no row for “${finding.slice(0, 60)}”.`
}

function byFinding(check: Check, finding: string): Row | string | null {
  const { does } = check
  switch (does.kind) {
    case 'measure':
      return rowForReading(check, does, finding)
    case 'observe':
      return matchRow(check, { kind: 'word', word: finding })
  }
}

function rowForReading(check: Check, does: Measures, finding: string): Row | string | null {
  const { unit, meter, expectation, nothing } = does
  if (unit === '') return null
  const parsed = parseReading(finding, meter)
  if (!parsed.ok) return null
  const bounds = expectation && constantBounds(expectation)
  const range = bounds && nothing ? { ...bounds, nothing } : bounds
  if (expectation && !range) return `The range of “${check.title}” needs facts: give the row’s label instead.`
  const verdict = judge(parsed.reading, range, null)
  return matchRow(check, { kind: 'reading', reading: parsed.reading, range, verdict })
}

function sameWords(a: string, b: string): boolean {
  const plain = (text: string) => text.trim().replace(/\s+/g, ' ').toLowerCase()
  return plain(a) === plain(b)
}

/** The title of a check, cause or end; its key when it is not there. */
export function titleOf(knowledge: Knowledge, target: Target): string {
  switch (target.kind) {
    case 'check':
      return findCheck(knowledge, target)?.title ?? targetKey(target)
    case 'cause':
      return findCause(knowledge, target)?.title ?? targetKey(target)
    case 'end':
      return findEnd(knowledge, target)?.title ?? targetKey(target)
  }
}
