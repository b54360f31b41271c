// Files sorted by what they are: drafts whose names are not yet linked.

import type { Document, Section } from './document.ts'

export interface TreeDraft {
  kind: 'tree'
  doc: Document
  head: Section
  checks: Section[]
  ends: Section[]
  /** The level-3 sections under `## Examples`. */
  examples: Section[]
  /** The headings `## Examples` themselves. */
  groups: Section[]
  /** Sections that have no place in a tree. */
  stray: Section[]
}

export interface EquipmentDraft {
  kind: 'equipment'
  doc: Document
  head: Section
  terminals: Section | null
  access: Section | null
  units: Section | null
  facts: Section | null
  limits: Section | null
  testsAfterWork: Section | null
  causes: Section[]
  /** The headings `## Causes` themselves. */
  groups: Section[]
  stray: Section[]
}

export type Draft = TreeDraft | EquipmentDraft

export interface Drafts {
  trees: TreeDraft[]
  equipment: EquipmentDraft[]
}

/** Sorts a document's sections by what they are. A section that fits nowhere is kept as `stray`. */
export function draftOf(doc: Document): Draft {
  return doc.path.startsWith('equipment/') ? equipmentDraft(doc) : treeDraft(doc)
}

function treeDraft(doc: Document): TreeDraft {
  const [head, rest] = headAndRest(doc)
  const draft: TreeDraft = {
    kind: 'tree',
    doc,
    head,
    checks: [],
    ends: [],
    examples: [],
    groups: [],
    stray: [],
  }
  let inExamples = false
  for (const section of rest) {
    if (section.level === 2) inExamples = section.slug === 'examples'
    if (section.level === 2) {
      const ownKind = isEnd(section) ? draft.ends : draft.checks
      const list = inExamples ? draft.groups : ownKind
      list.push(section)
    } else if (section.level === 3 && inExamples) draft.examples.push(section)
    else draft.stray.push(section)
  }
  return draft
}

function isEnd(section: Section): boolean {
  return section.keys.some(line => line.key === 'End')
}

const TABLES = ['terminals', 'access', 'units', 'facts', 'limits'] as const

function equipmentDraft(doc: Document): EquipmentDraft {
  const [head, rest] = headAndRest(doc)
  const draft: EquipmentDraft = {
    kind: 'equipment',
    doc,
    head,
    terminals: null,
    access: null,
    units: null,
    facts: null,
    limits: null,
    testsAfterWork: null,
    causes: [],
    groups: [],
    stray: [],
  }
  let inCauses = false
  for (const section of rest) {
    if (section.level === 2) inCauses = section.slug === 'causes'
    const table = section.level === 2 && tableOf(section)
    if (table) draft[table] ??= section
    else if (section.level === 3 && inCauses) draft.causes.push(section)
    else if (section.level === 2 && inCauses) draft.groups.push(section)
    else draft.stray.push(section)
  }
  return draft
}

function tableOf({ slug }: Section) {
  return slug === 'tests-after-work' ? 'testsAfterWork' : TABLES.find(name => name === slug)
}

function headAndRest(doc: Document): [Section, Section[]] {
  const [head, ...rest] = doc.sections
  return head ? [head, rest] : [noSection(), []]
}

function noSection(): Section {
  return {
    level: 0,
    title: '',
    slug: '',
    line: 1,
    keys: [],
    quotes: [],
    prose: [],
    items: [],
    tables: [],
  }
}
