import type { Nothing } from '../../measurement/limits/expectation.ts'
import { findUnit } from '../../measurement/readings/units.ts'
import { constantBounds } from '../bounds.ts'
import { keyOf, proseOf, type Section, type TableRow } from '../read/document.ts'
import type { TreeDraft } from '../read/draft.ts'
import { linksIn } from '../read/link.ts'
import { equipmentOf, linkOfKey, type Names, resolveLink, targetOf } from '../read/names.ts'
import { declaresInstruments, declaresRoles } from '../read/section-kinds.ts'
import { readDay, readEnd, readKind, readMinutes, readSlip, readYes } from '../read/values.ts'
import type {
  Check,
  CheckRef,
  End,
  Equipment,
  Example,
  FaultTree,
  Measures,
  Observes,
  Row,
  RowMatch,
  Target,
} from '../types.ts'
import { instrumentOf } from './check-instrument.ts'
import { firstWins, isDemo, terminalNames } from './equipment.ts'
import { expectOf, readFixedRange } from './expectation.ts'
import { readFinding, readObservation } from './finding.ts'
import { instrumentByWords, measureRoleByWords } from './legacy-roles.ts'
import { measureUnit, treeNames } from './tree-names.ts'
import { firstLink } from './uses.ts'

/** Null when the tree's start or its equipment is not to be found; rows that lead nowhere are left out. */
export function linkTree(
  draft: TreeDraft,
  names: Names,
  equipment: Map<string, Equipment>,
): FaultTree | null {
  const kitDraft = equipmentOf(names, draft)
  const kit = equipment.get(kitDraft?.doc.slug ?? '')
  const start = linkOfKey(names, draft, 'Start')
  if (!kitDraft || !kit || start?.kind !== 'check') return null
  const { doc, head } = draft
  const context: CheckContext = {
    draft,
    names,
    kit,
    formulaNames: treeNames(draft, kit),
    declared: { roles: declaresRoles(kitDraft), instruments: declaresInstruments(draft) },
  }
  return {
    slug: doc.slug,
    title: head.title,
    equipment: kit.slug,
    symptom: keyOf(head, 'Symptom')?.value ?? '',
    kind: readKind(keyOf(head, 'Kind')?.value ?? 'fault') ?? 'fault',
    about: proseOf(head),
    cautions: head.quotes.map(quote => quote.text),
    start: { tree: start.draft.doc.slug, check: start.section.slug },
    checks: firstWins(draft.checks.map(section => checkOf(section, context))),
    ends: firstWins(draft.ends.map(section => endOf(draft, section))),
    reviewBy: readDay(keyOf(head, 'Review by')?.value ?? ''),
    examples: draft.examples.flatMap(section => exampleOf(draft, section, names)),
    source: { path: doc.path, line: head.line },
  }
}

interface CheckContext {
  draft: TreeDraft
  names: Names
  kit: Equipment
  formulaNames: ReadonlyMap<string, string>
  /** What the equipment's file and the tree's declare; the rest is read by words. */
  declared: { roles: boolean; instruments: boolean }
}

function checkOf(section: Section, context: CheckContext): Check {
  const { draft, names } = context
  const value = (key: string) => keyOf(section, key)?.value ?? ''
  const needs = section.keys.filter(line => line.key === 'Needs').map(line => line.value)
  const does = doesOf(section, needs, context)
  const rows = section.tables[0]?.rows ?? []
  return {
    tree: draft.doc.slug,
    slug: section.slug,
    title: section.title,
    cautions: section.quotes.map(quote => quote.text),
    instruction: proseOf(section),
    does,
    minutes: readMinutes(value('Takes')),
    access: value('Access') || null,
    needs,
    ...(context.declared.instruments ? instrumentOf(section) : instrumentByWords(needs)),
    endsOff: value('Ends off') || null,
    disturbs: value('Disturbs') || null,
    blind: readYes(value('Blind')) ?? false,
    slip: readSlip(value('Slip')),
    rows: rows.flatMap(row => rowOf(draft, row, does, names)),
    source: { path: draft.doc.path, line: section.line },
  }
}

function doesOf(section: Section, needs: string[], context: CheckContext): Measures | Observes {
  const { kit, formulaNames } = context
  const measure = keyOf(section, 'Measure')
  const between = terminalNames(section)
  const clamp = !keyOf(section, 'Between') && Boolean(keyOf(section, 'Around'))
  if (!measure) return { kind: 'observe', what: keyOf(section, 'Observe')?.value ?? '', between, clamp }
  const expectText = keyOf(section, 'Expect')?.value ?? ''
  const expect = expectOf(expectText, kit)
  const base = { kind: 'measure' as const, quantity: measure.value, between, clamp, expectText }
  if (expect.kind === 'limit') {
    const { name, unit, expectation, where, from, demo, role } = expect.limit
    const named = {
      ...base,
      ...meterOf(section, unit, kit),
      limit: name,
      expectation,
      where,
      from,
      demo,
      role,
    }
    return withRole(named, section, needs, context)
  }
  const from = keyOf(section, 'Source')?.value ?? ''
  const expectation = expect.kind === 'own' ? expect.expectation : null
  const unit = measureUnit(section, kit, formulaNames) ?? ''
  const own = {
    ...base,
    ...meterOf(section, unit, kit),
    limit: null,
    expectation,
    from,
    demo: isDemo(from),
    role: null,
  }
  return withRole(own, section, needs, context)
}

/** What the meter is set to, and what it may show beside what is expected. */
function meterOf(
  section: Section,
  unit: string,
  kit: Equipment,
): Pick<Measures, 'unit' | 'meter' | 'atFault' | 'nothing'> {
  const base = findUnit(unit)?.base
  const meter = findUnit(keyOf(section, 'Meter')?.value ?? '')
  const atFault = section.keys.flatMap(line =>
    line.key === 'Fault shows' ? (readFixedRange(line.value) ?? []) : [],
  )
  return {
    unit,
    meter: meter && meter.base === base ? meter.symbol : unit,
    atFault: atFault.filter(range => range.unit === base),
    nothing: nothingOf(kit, base),
  }
}

/** The equipment's limit for how little of a quantity is as good as nothing. */
function nothingOf({ limits }: Equipment, base: string | undefined): Nothing | null {
  const limit = limits.find(({ role, unit }) => role === 'nothing' && findUnit(unit)?.base === base)
  const range = limit?.expectation && constantBounds(limit.expectation)
  if (!limit || range?.max == null) return null
  return { most: range.max, text: range.text, from: limit.from, demo: limit.demo }
}

/** Where its limit has no role, an insulation test is about insulation. */
function withRole(does: Measures, section: Section, needs: string[], { declared }: CheckContext): Measures {
  if (does.role !== null) return does
  if (declared.instruments && instrumentOf(section).insulationTest) return { ...does, role: 'insulation' }
  return declared.roles && declared.instruments ? does : { ...does, role: measureRoleByWords(does, needs) }
}

function rowOf(draft: TreeDraft, row: TableRow, does: Measures | Observes, names: Names): Row[] {
  const [label = '', means = ''] = row.cells
  const next = targetAt(draft, row.next[0]?.href, names)
  const match = matchOf(label, does)
  if (!next || !match) return []
  return [{ label, match, means, next, source: { path: draft.doc.path, line: row.line } }]
}

/** What the finding cell stands for; null where it can't be read. */
function matchOf(label: string, does: Measures | Observes): RowMatch | null {
  switch (does.kind) {
    case 'measure': {
      const finding = readFinding(label, does.unit)
      return 'match' in finding ? finding.match : null
    }
    case 'observe':
      return readObservation(label)
  }
}

function linkTarget(draft: TreeDraft, markdown: string, names: Names): Target | null {
  return targetAt(draft, linksIn(markdown)[0]?.href, names)
}

function targetAt(draft: TreeDraft, href: string | undefined, names: Names): Target | null {
  const resolved = href === undefined ? null : resolveLink(names, draft.doc.path, href)
  return resolved?.ok ? targetOf(names, resolved.place) : null
}

function endOf(draft: TreeDraft, section: Section): End {
  return {
    tree: draft.doc.slug,
    slug: section.slug,
    title: section.title,
    means: readEnd(keyOf(section, 'End')?.value ?? '') ?? 'pass on',
    about: proseOf(section),
    cautions: section.quotes.map(quote => quote.text),
    source: { path: draft.doc.path, line: section.line },
  }
}

function exampleOf(draft: TreeDraft, section: Section, names: Names): Example[] {
  const expected = linkTarget(draft, keyOf(section, 'Ends at')?.value ?? '', names)
  if (!expected) return []
  const findings = section.items.flatMap(item => {
    const link = firstLink(item.text)
    const target = linkTarget(draft, link, names)
    if (target?.kind !== 'check') return []
    const check: CheckRef = { tree: target.tree, check: target.check }
    return {
      check,
      finding: item.text
        .slice(link.length)
        .replace(/^\s*:\s*/, '')
        .trim(),
    }
  })
  return [{ findings, expected, source: { path: draft.doc.path, line: section.line } }]
}
