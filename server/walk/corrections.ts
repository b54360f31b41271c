// Corrections: the last word on each finding takes the place of the first; the others stay on record, struck.

import type { Finding } from './record.ts'

export interface Struck {
  old: Finding
  by: Finding
}

/**
 * The findings that stand, in the order in which the things they speak of were first found. Chains are
 * followed to their end. A correction of a finding that is not on record counts as a finding of its own.
 */
export function effectiveFindings(findings: Finding[]): { effective: Finding[]; struck: Struck[] } {
  const ordered = inOrder(findings)
  const byId = new Map(ordered.map(finding => [finding.id, finding]))
  const correctionOf = new Map<string, Finding>()
  const struck: Struck[] = []
  for (const finding of ordered) {
    const old = finding.replaces === null ? undefined : byId.get(finding.replaces)
    if (!old || old.seq >= finding.seq) continue
    correctionOf.set(old.id, finding)
    struck.push({ old, by: finding })
  }
  const corrections = new Set(struck.map(pair => pair.by))
  const effective = ordered
    .filter(finding => !corrections.has(finding))
    .map(finding => lastWord(finding, correctionOf))
  return { effective, struck }
}

/** By order of arrival; the same id sent twice counts once. */
function inOrder(findings: Finding[]): Finding[] {
  const unique = new Map<string, Finding>()
  for (const finding of [...findings].sort((a, b) => a.seq - b.seq)) {
    if (!unique.has(finding.id)) unique.set(finding.id, finding)
  }
  return [...unique.values()]
}

function lastWord(finding: Finding, correctionOf: Map<string, Finding>): Finding {
  const correction = correctionOf.get(finding.id)
  return correction ? lastWord(correction, correctionOf) : finding
}
