// Everything that can be linked to, by file and heading.

import type { Target } from '../types.ts'
import type { Section } from './document.ts'
import type { Drafts, EquipmentDraft, TreeDraft } from './draft.ts'
import { resolveHref } from './link.ts'

export type Place =
  | { kind: 'check' | 'end'; draft: TreeDraft; section: Section }
  | { kind: 'cause'; draft: EquipmentDraft; section: Section }
  | { kind: 'tree'; draft: TreeDraft }
  | { kind: 'equipment'; draft: EquipmentDraft }

export type Resolved =
  | { ok: true; place: Place }
  | { ok: false; missing: 'address' }
  | { ok: false; missing: 'file' | 'heading'; wanted: string; known: string[] }

export interface Names {
  /** Path → heading slug → what it names. */
  places: Map<string, Map<string, Place>>
  files: Map<string, Place>
  /** Paths of files that are there but can't be read: links into them are not judged. */
  unread: ReadonlySet<string>
  /** Cache of resolved links, by file and address: each is asked for several times. */
  resolved: Map<string, Map<string, Resolved>>
}

export function namesOf(drafts: Drafts, unread: ReadonlySet<string> = new Set()): Names {
  const names: Names = { places: new Map(), files: new Map(), unread, resolved: new Map() }
  for (const draft of drafts.trees) {
    const places = new Map<string, Place>()
    for (const section of draft.checks) putFirst(places, section.slug, { kind: 'check', draft, section })
    for (const section of draft.ends) putFirst(places, section.slug, { kind: 'end', draft, section })
    names.places.set(draft.doc.path, places)
    names.files.set(draft.doc.path, { kind: 'tree', draft })
  }
  for (const draft of drafts.equipment) {
    const places = new Map<string, Place>()
    for (const section of draft.causes) putFirst(places, section.slug, { kind: 'cause', draft, section })
    names.places.set(draft.doc.path, places)
    names.files.set(draft.doc.path, { kind: 'equipment', draft })
  }
  return names
}

/** What a link in the file at `from` leads to, or what is missing. */
export function resolveLink(names: Names, from: string, href: string): Resolved {
  const resolvedHere = names.resolved.get(from) ?? new Map<string, Resolved>()
  const resolved = resolvedHere.get(href) ?? resolve(names, from, href)
  names.resolved.set(from, resolvedHere.set(href, resolved))
  return resolved
}

function resolve(names: Names, from: string, href: string): Resolved {
  const address = resolveHref(from, href)
  if (!address) return { ok: false, missing: 'address' }
  const file = names.files.get(address.path)
  const headings = names.places.get(address.path)
  if (!file || !headings) {
    return { ok: false, missing: 'file', wanted: address.path, known: [...names.files.keys()] }
  }
  if (address.heading === null) return { ok: true, place: file }
  const place = headings.get(address.heading)
  if (place) return { ok: true, place }
  return { ok: false, missing: 'heading', wanted: address.heading, known: [...headings.keys()] }
}

/** The target a place stands for in a row; null when a row can't lead there. A tree stands for its start. */
export function targetOf(names: Names, place: Place): Target | null {
  switch (place.kind) {
    case 'check':
      return { kind: 'check', tree: place.draft.doc.slug, check: place.section.slug }
    case 'end':
      return { kind: 'end', tree: place.draft.doc.slug, end: place.section.slug }
    case 'cause':
      return { kind: 'cause', equipment: place.draft.doc.slug, cause: place.section.slug }
    case 'tree':
      return startOf(names, place.draft)
    case 'equipment':
      return null
  }
}

function startOf(names: Names, draft: TreeDraft): Target | null {
  const start = linkOfKey(names, draft, 'Start')
  return start?.kind === 'check' ? targetOf(names, start) : null
}

/** What the first link in a tree's key leads to, or null. */
export function linkOfKey(names: Names, draft: TreeDraft, key: string): Place | null {
  const value = draft.head.keys.find(line => line.key === key)?.value ?? ''
  const href = /\]\(([^()\s]*)\)/.exec(value)?.[1]
  const resolved = href === undefined ? null : resolveLink(names, draft.doc.path, href)
  return resolved?.ok ? resolved.place : null
}

/** The equipment draft a tree is written for, or null when it names none that is known. */
export function equipmentOf(names: Names, draft: TreeDraft): EquipmentDraft | null {
  const place = linkOfKey(names, draft, 'Equipment')
  return place?.kind === 'equipment' ? place.draft : null
}

function putFirst(map: Map<string, Place>, key: string, place: Place) {
  if (!map.has(key)) map.set(key, place)
}
