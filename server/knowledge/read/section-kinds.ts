// What may stand in each kind of section.

import { memo } from '../../cache.ts'
import type { Section, TableRow } from './document.ts'
import type { Draft, EquipmentDraft, TreeDraft } from './draft.ts'
import { readCell } from './values.ts'

export type SectionKind = 'tree' | 'check' | 'end' | 'example' | 'equipment' | 'table' | 'cause' | 'group'

interface Keys {
  needed: string[]
  allowed: string[]
  /** May stand more than once. */
  repeated: string[]
}

export const KEYS: Record<SectionKind, Keys> = {
  tree: { needed: ['Equipment', 'Symptom', 'Start'], allowed: ['Kind', 'Review by'], repeated: [] },
  check: {
    needed: [],
    allowed: [
      'Measure',
      'Observe',
      'Between',
      'Expect',
      'Source',
      'Takes',
      'Access',
      'Disturbs',
      'Blind',
      'Method',
      'Test voltage',
      'Frequency',
      'Around',
      'Electronics connected',
      'Ends off',
      'Slip',
      'Meter',
    ],
    repeated: ['Needs', 'Fault shows'],
  },
  end: { needed: ['End'], allowed: [], repeated: [] },
  example: { needed: ['Ends at'], allowed: [], repeated: [] },
  equipment: { needed: [], allowed: [], repeated: [] },
  table: { needed: [], allowed: [], repeated: [] },
  group: { needed: [], allowed: [], repeated: [] },
  cause: { needed: ['Share'], allowed: ['Takes', 'Replace'], repeated: ['Prove'] },
}

export function allKeys(kind: SectionKind): string[] {
  return [...KEYS[kind].needed, ...KEYS[kind].allowed, ...KEYS[kind].repeated]
}

/** Headers of the tables, by the slug of their section; a check's table has `check`. */
const COLUMNS = {
  check: ['Finding', 'Means', 'Next'],
  terminals: ['Terminal', 'On', 'Purpose', 'Access', 'Live'],
  access: ['Access', 'Takes', 'Needs'],
  units: ['Unit', 'Variant', 'May be fitted where', 'Settings'],
  facts: ['Fact', 'Unit or choices', 'Meaning'],
  limits: ['Limit', 'Value', 'Unit', 'Source'],
  'tests-after-work': ['Cause', 'Test', 'By', 'Source'],
}

/** The columns a section's table must have, or null when it has none. */
export function columnsOf(kind: SectionKind, section: Section): string[] | null {
  if (kind === 'check') return COLUMNS.check
  if (kind !== 'table') return null
  const columns = (COLUMNS as Record<string, string[]>)[section.slug] ?? null
  return columns && hasRoleColumn(section) ? [...columns, ROLE_COLUMN] : columns
}

const ROLE_COLUMN = 'Role'

/** May the table have a last column `Role`? */
export function mayHaveRoleColumn(section: Section): boolean {
  return section.slug === 'facts' || section.slug === 'limits'
}

export function hasRoleColumn(section: Section): boolean {
  return mayHaveRoleColumn(section) && section.tables[0]?.header.at(-1)?.toLowerCase() === 'role'
}

/** What stands in a row's column `Role`, in lower case; empty where there is none. */
export function roleCell(section: Section | null, { cells }: TableRow): string {
  if (!section || !hasRoleColumn(section) || cells.length !== columnsOf('table', section)?.length) return ''
  return readCell(cells.at(-1))?.toLowerCase() ?? ''
}

/** Does an equipment file declare roles, or was it perhaps written before there were any? */
export function declaresRoles({ facts, limits }: EquipmentDraft): boolean {
  return [facts, limits].some(section => section !== null && hasRoleColumn(section))
}

const INSTRUMENT_KEYS = ['Method', 'Test voltage', 'Frequency', 'Electronics connected']

/** Does a check of the tree say in keys what its instrument must do? */
export function declaresInstruments({ checks }: TreeDraft): boolean {
  return checks.some(section => section.keys.some(line => INSTRUMENT_KEYS.includes(line.key)))
}

/** The rows of an equipment table that have as many cells as they must. */
export function wholeRows(section: Section | null): TableRow[] {
  const columns = section ? columnsOf('table', section) : null
  return (section?.tables[0]?.rows ?? []).filter(row => row.cells.length === columns?.length)
}

/** The sections of a draft that have a place in it, each with its kind, in the order of the file. */
export const sectionsOf = memo((draft: Draft): { kind: SectionKind; section: Section }[] => {
  const all: [SectionKind, (Section | null)[]][] =
    draft.kind === 'tree'
      ? [
          ['tree', [draft.head]],
          ['check', draft.checks],
          ['end', draft.ends],
          ['example', draft.examples],
          ['group', draft.groups],
        ]
      : [
          ['equipment', [draft.head]],
          [
            'table',
            [draft.terminals, draft.access, draft.units, draft.facts, draft.limits, draft.testsAfterWork],
          ],
          ['cause', draft.causes],
          ['group', draft.groups],
        ]
  return all
    .flatMap(([kind, sections]) => sections.flatMap(section => (section ? [{ kind, section }] : [])))
    .sort((a, b) => a.section.line - b.section.line)
})
