// What may stand in each kind of section.

import { memo } from '../../cache.ts'
import type { Section, TableRow } from './document.ts'
import type { Draft } from './draft.ts'

export type Role = 'tree' | 'check' | 'end' | 'example' | 'equipment' | 'table' | 'cause' | 'group'

interface Keys {
  needed: string[]
  allowed: string[]
  /** May stand more than once. */
  repeated: string[]
}

export const KEYS: Record<Role, Keys> = {
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
      'Slip',
    ],
    repeated: ['Needs'],
  },
  end: { needed: ['End'], allowed: [], repeated: [] },
  example: { needed: ['Ends at'], allowed: [], repeated: [] },
  equipment: { needed: [], allowed: [], repeated: [] },
  table: { needed: [], allowed: [], repeated: [] },
  group: { needed: [], allowed: [], repeated: [] },
  cause: { needed: ['Share'], allowed: ['Takes', 'Replace'], repeated: ['Prove'] },
}

export function allKeys(role: Role): string[] {
  return [...KEYS[role].needed, ...KEYS[role].allowed, ...KEYS[role].repeated]
}

/** Headers of the tables, by the slug of their section; a check's table has `check`. */
const COLUMNS = {
  check: ['Finding', 'Means', 'Next'],
  terminals: ['Terminal', 'On', 'Purpose', 'Access', 'Live'],
  access: ['Access', 'Takes', 'Needs'],
  units: ['Unit', 'Variant', 'May be fitted where', 'Settings'],
  facts: ['Fact', 'Unit or choices', 'Meaning'],
  limits: ['Limit', 'Value', 'Unit', 'Source'],
}

/** The columns a section's table must have, or null when it has none. */
export function columnsOf(role: Role, section: Section): string[] | null {
  if (role === 'check') return COLUMNS.check
  if (role !== 'table') return null
  return (COLUMNS as Record<string, string[]>)[section.slug] ?? null
}

/** The rows of an equipment table that have as many cells as they must. */
export function wholeRows(section: Section | null): TableRow[] {
  const columns = section ? columnsOf('table', section) : null
  return (section?.tables[0]?.rows ?? []).filter(row => row.cells.length === columns?.length)
}

/** The sections of a draft that have a place in it, each with its role, in the order of the file. */
export const rolesOf = memo((draft: Draft): { role: Role; section: Section }[] => {
  const all: [Role, (Section | null)[]][] =
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
          ['table', [draft.terminals, draft.access, draft.units, draft.facts, draft.limits]],
          ['cause', draft.causes],
          ['group', draft.groups],
        ]
  return all
    .flatMap(([role, sections]) => sections.flatMap(section => (section ? [{ role, section }] : [])))
    .sort((a, b) => a.section.line - b.section.line)
})
