// Every link the compiler follows, with what it may lead to.

import { memo } from '../../cache.ts'
import type { Document } from '../read/document.ts'
import type { Drafts, EquipmentDraft, TreeDraft } from '../read/draft.ts'
import { type Link, linksIn } from '../read/link.ts'
import type { Place } from '../read/names.ts'

export interface LinkUse {
  doc: Document
  line: number
  href: string
  text: string
  wants: Place['kind'][]
}

/** All links that mean something: a tree's keys, the last cell of rows, examples, and proofs. */
export const linkUses = memo((drafts: Drafts): LinkUse[] => [
  ...drafts.trees.flatMap(treeUses),
  ...drafts.equipment.flatMap(equipmentUses),
])

const ROW: LinkUse['wants'] = ['check', 'end', 'cause', 'tree']

function treeUses(draft: TreeDraft): LinkUse[] {
  const { doc } = draft
  const uses: LinkUse[] = []
  for (const line of draft.head.keys) {
    if (line.key === 'Equipment') uses.push(...usesAt(doc, line.line, line.value, ['equipment']))
    if (line.key === 'Start') uses.push(...usesAt(doc, line.line, line.value, ['check']))
  }
  for (const row of draft.checks.flatMap(section => section.tables[0]?.rows ?? [])) {
    for (const link of row.next)
      uses.push({ doc, line: row.line, href: link.href, text: link.text, wants: ROW })
  }
  for (const section of draft.examples) {
    for (const item of section.items) {
      uses.push(...usesAt(doc, item.line, firstLink(item.text), ['check']))
    }
    for (const line of section.keys) {
      uses.push(...usesAt(doc, line.line, line.value, ['check', 'end', 'cause']))
    }
  }
  return uses
}

function equipmentUses(draft: EquipmentDraft): LinkUse[] {
  return draft.causes.flatMap(section =>
    section.keys
      .filter(line => line.key === 'Prove')
      .flatMap(line => usesAt(draft.doc, line.line, line.value, ['check'])),
  )
}

function usesAt(doc: Document, line: number, markdown: string, wants: Place['kind'][]): LinkUse[] {
  return linksIn(markdown).map((link: Link) => ({ doc, line, ...link, wants }))
}

/** Only the link an example's line begins with names its check. */
export function firstLink(item: string): string {
  return /^\[[^[\]]*\]\([^()\s]*\)/.exec(item)?.[0] ?? ''
}
