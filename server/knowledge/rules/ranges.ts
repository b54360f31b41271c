// Every range written in the knowledge, with what reading it gave and the names it may use.

import { memo } from '../../cache.ts'
import { nameKey } from '../../measurement/limits/formula.ts'
import { expectOf, factNames, type ReadExpectation, readExpectation } from '../link/expectation.ts'
import { readFinding } from '../link/finding.ts'
import { measureUnit, treeNames } from '../link/tree-names.ts'
import { type Document, keyOf, type Section } from '../read/document.ts'
import type { TreeDraft } from '../read/draft.ts'
import { wholeRows } from '../read/section-kinds.ts'
import { readCell, readLimitValue } from '../read/values.ts'
import type { Equipment } from '../types.ts'
import type { LinkContext } from './context.ts'
import { eachSection } from './each.ts'

export interface WrittenRange {
  doc: Document
  line: number
  text: string
  read: ReadExpectation
  /** What it belongs to; a band is a finding cell. */
  of: 'limit' | 'expect' | 'band'
  names: ReadonlyMap<string, string>
  /** Facts whose unit can't be read: no name to complain of, and nothing to reckon with. */
  doubtful: ReadonlySet<string>
}

/** All ranges of a context; read once, as several checks ask for them. */
export const writtenRanges = memo((context: LinkContext): WrittenRange[] => [
  ...limitRanges(context),
  ...checkRanges(context),
])

function limitRanges({ drafts, equipment }: LinkContext): WrittenRange[] {
  return drafts.equipment.flatMap(({ doc, limits }) => {
    const kit = equipment.get(doc.slug)
    if (!kit) return []
    const names = factNames(kit)
    return wholeRows(limits).flatMap(row => {
      const text = readCell(row.cells[1])
      const value = text === null ? null : readLimitValue(text)
      if (text === null || !value) return []
      const read = readExpectation(value.range, readCell(row.cells[2]))
      return { doc, line: row.line, text, read, of: 'limit' as const, names, doubtful: doubtfulFacts(kit) }
    })
  })
}

function checkRanges(context: LinkContext): WrittenRange[] {
  return eachSection(context).flatMap(({ draft, kit, section }) => {
    if (!keyOf(section, 'Measure')) return []
    const names = treeNames(draft, kit)
    return [...ownRange(draft, kit, section, names), ...bands(draft, kit, section, names)]
  })
}

function ownRange(
  draft: TreeDraft,
  kit: Equipment,
  section: Section,
  names: ReadonlyMap<string, string>,
): WrittenRange[] {
  const line = keyOf(section, 'Expect')
  const expect = line?.value ? expectOf(line.value, kit) : null
  if (!line || !expect) return []
  const written = {
    doc: draft.doc,
    line: line.line,
    text: line.value,
    of: 'expect' as const,
    names,
    doubtful: doubtfulFacts(kit),
  }
  if (expect.kind === 'own') return [{ ...written, read: { ok: true, expectation: expect.expectation } }]
  if (expect.kind === 'unreadable') return [{ ...written, read: { ok: false, problem: expect.problem } }]
  return []
}

function bands(
  draft: TreeDraft,
  kit: Equipment,
  section: Section,
  names: ReadonlyMap<string, string>,
): WrittenRange[] {
  const unit = measureUnit(section, kit, names)
  const doubtful = doubtfulFacts(kit)
  return (section.tables[0]?.rows ?? []).flatMap(row => {
    const text = row.cells[0] ?? ''
    const finding = readFinding(text, unit)
    const written = { doc: draft.doc, line: row.line, text, of: 'band' as const, names, doubtful }
    if (!('match' in finding)) return { ...written, read: finding }
    if (finding.match.kind !== 'band') return []
    return { ...written, read: { ok: true as const, expectation: finding.match.expectation } }
  })
}

const doubtfulFacts = memo((kit: Equipment): ReadonlySet<string> => {
  const facts = kit.facts.filter(fact => fact.unit === null && fact.choices.length === 0)
  return new Set(facts.map(fact => nameKey(fact.name)))
})
