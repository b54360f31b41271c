import { findUnit } from '../../measurement/readings/units.ts'
import { keyOf, proseOf, type Section, type TableRow } from '../read/document.ts'
import type { EquipmentDraft } from '../read/draft.ts'
import { linksIn } from '../read/link.ts'
import { type Names, resolveLink } from '../read/names.ts'
import { declaresRoles, roleCell, wholeRows } from '../read/section-kinds.ts'
import {
  readCell,
  readChoices,
  readConditions,
  readLimitValue,
  readMinutes,
  readNames,
  readSealed,
  readShare,
  readSuperseded,
  readTester,
  readToneName,
} from '../read/values.ts'
import { isFactRole, isLimitRole } from '../roles.ts'
import type {
  Access,
  Cause,
  CheckRef,
  Equipment,
  Fact,
  Limit,
  Terminal,
  TestAfterWork,
  UnitVariant,
} from '../types.ts'
import { readExpectation } from './expectation.ts'
import { factRolesByWords, toneLimitsByWords } from './legacy-roles.ts'

/** An equipment file with its names linked. What can't be read is left out, as the rules report it. */
export function linkEquipment(draft: EquipmentDraft, names: Names): Equipment {
  const { path, slug } = draft.doc
  const causes = draft.causes.map(section => causeOf(draft, section, names))
  const { facts, limits } = factsAndLimits(draft)
  return {
    slug,
    name: draft.head.title,
    about: proseOf(draft.head),
    cautions: draft.head.quotes.map(quote => quote.text),
    terminals: rowsOf(draft.terminals).map(row => terminalOf(path, row)),
    access: rowsOf(draft.access).map(row => accessOf(path, row)),
    units: rowsOf(draft.units).map(row => unitOf(path, row)),
    facts,
    limits,
    causes: firstWins(causes),
    testsAfterWork: wholeRows(draft.testsAfterWork).flatMap(row => testOf(path, row)),
    source: { path, line: draft.head.line },
  }
}

function factsAndLimits(draft: EquipmentDraft): Pick<Equipment, 'facts' | 'limits'> {
  const { path } = draft.doc
  const facts = rowsOf(draft.facts).map(row => factOf(path, row, roleCell(draft.facts, row)))
  const limits = rowsOf(draft.limits).map(row => limitOf(path, row, roleCell(draft.limits, row)))
  if (declaresRoles(draft)) return { facts, limits }
  const byWords = factRolesByWords(facts)
  return { facts: byWords, limits: toneLimitsByWords(limits, byWords) }
}

/** By slug; of two with one slug the first, as the other is reported. */
export function firstWins<T extends { slug: string }>(items: T[]): Map<string, T> {
  const map = new Map<string, T>()
  for (const item of items) if (!map.has(item.slug)) map.set(item.slug, item)
  return map
}

/** A row with too few or too many cells keeps its name, so that what uses the name is not reported too. */
function rowsOf(section: Section | null): TableRow[] {
  const whole = new Set(wholeRows(section))
  return (section?.tables[0]?.rows ?? []).map(row =>
    whole.has(row) ? row : { ...row, cells: row.cells.slice(0, 1) },
  )
}

function terminalOf(path: string, { cells, line }: TableRow): Terminal {
  return {
    name: cells[0] ?? '',
    on: cells[1] ?? '',
    purpose: cells[2] ?? '',
    sealed: readSealed(cells[3] ?? '') ?? false,
    live: readCell(cells[4]),
    source: { path, line },
  }
}

function accessOf(path: string, { cells, line }: TableRow): Access {
  return {
    name: cells[0] ?? '',
    minutes: readMinutes(cells[1] ?? '') ?? 0,
    needs: readCell(cells[2]),
    source: { path, line },
  }
}

function unitOf(path: string, { cells, line }: TableRow): UnitVariant {
  return {
    kind: cells[0] ?? '',
    variant: cells[1] ?? '',
    fits: readConditions(cells[2] ?? '') ?? [],
    superseded: readSuperseded(cells[2] ?? ''),
    settings: (readCell(cells[3]) ?? '')
      .split(',')
      .map(setting => setting.trim())
      .filter(setting => setting !== ''),
    source: { path, line },
  }
}

function factOf(path: string, { cells, line }: TableRow, role: string): Fact {
  const choices = readChoices(cells[1] ?? '')
  const unit = choices.length > 0 ? null : (findUnit(cells[1] ?? '')?.symbol ?? null)
  return {
    name: cells[0] ?? '',
    unit,
    choices,
    meaning: cells[2] ?? '',
    role: isFactRole(role) ? role : null,
    source: { path, line },
  }
}

function limitOf(path: string, { cells, line }: TableRow, role: string): Limit {
  const text = readCell(cells[1])
  const unit = cells[2] ?? ''
  const value = text === null ? null : readLimitValue(text)
  const read = value && readExpectation(value.range, readCell(unit))
  const from = cells[3] ?? ''
  return {
    name: cells[0] ?? '',
    unit: findUnit(unit)?.symbol ?? (read?.ok ? read.expectation.unit : unit),
    expectation: read?.ok ? read.expectation : null,
    text: text ?? '',
    where: value?.where ?? [],
    from,
    demo: isDemo(from),
    role: isLimitRole(role) ? role : null,
    tone: role === 'tone' ? readToneName(cells[0] ?? '') : null,
    source: { path, line },
  }
}

function testOf(path: string, { cells, line }: TableRow): TestAfterWork[] {
  const [cause = '', test = '', tester = '', from = ''] = cells
  const by = readTester(tester)
  if (!by) return []
  const named = cause.trim().toLowerCase() === 'every repair' ? null : cause.trim()
  return [{ cause: named, test, by, from, demo: isDemo(from), source: { path, line } }]
}

/** A source that begins with "Demo value" marks a value made up for showing the program. */
export function isDemo(from: string): boolean {
  return /^demo value\b/i.test(from.trim())
}

function causeOf(draft: EquipmentDraft, section: Section, names: Names): Cause {
  const takes = keyOf(section, 'Takes')
  const replace = keyOf(section, 'Replace')
  return {
    equipment: draft.doc.slug,
    slug: section.slug,
    title: section.title,
    share: readShare(keyOf(section, 'Share')?.value ?? '') ?? 1,
    minutes: takes ? readMinutes(takes.value) : null,
    remedy: proseOf(section),
    cautions: section.quotes.map(quote => quote.text),
    prove: proofsOf(draft, section, names),
    replace: replace ? readCell(replace.value) : null,
    source: { path: draft.doc.path, line: section.line },
  }
}

function proofsOf(draft: EquipmentDraft, section: Section, names: Names): CheckRef[] {
  const lines = section.keys.filter(line => line.key === 'Prove')
  return lines
    .flatMap(line => linksIn(line.value))
    .flatMap(link => {
      const resolved = resolveLink(names, draft.doc.path, link.href)
      if (!resolved.ok || resolved.place.kind !== 'check') return []
      return { tree: resolved.place.draft.doc.slug, check: resolved.place.section.slug }
    })
}

/** Terminal names of a `Between:` or an `Around:` line. */
export function terminalNames(section: Section): string[] {
  return readNames((keyOf(section, 'Between') ?? keyOf(section, 'Around'))?.value ?? '')
}
