// Help with words: the names an author may use, the same thing
// under two names, and cautions others have written.

import { subjectOf } from './graph.ts'
import { editDistance } from './nearest-name.ts'
import type { Check, Equipment, FaultTree, Knowledge } from './types.ts'

export interface NameGroup {
  title: string
  /** `insert` is what goes into the text; `about` says what it stands for. */
  names: { insert: string; about: string }[]
}

/** The names of the equipment a tree may use, by kind; empty groups are left out. */
export function namesToUse(kit: Equipment, tree: FaultTree | null): NameGroup[] {
  const file = `../equipment/${kit.slug}.md`
  const open = kit.terminals.filter(terminal => !terminal.sealed)
  return [
    group('Terminals', open, one => [
      one.name,
      `${one.on}, ${one.purpose}${one.live ? `, live at ${one.live}` : ''}`,
    ]),
    group('Limits', kit.limits, one => [one.name, `${one.text || 'left blank'} ${one.unit}`.trim()]),
    group('Facts', kit.facts, one => [one.name, one.unit ?? one.choices.join(' or ')]),
    group('Access', kit.access, one => [one.name, `${one.minutes} min`]),
    group('Checks here', [...(tree?.checks.values() ?? [])], one => [
      `[${one.title}](#${one.slug})`,
      one.title,
    ]),
    group('Causes', [...kit.causes.values()], one => [`[${one.title}](${file}#${one.slug})`, one.title]),
  ].filter(one => one.names.length > 0)
}

function group<T>(title: string, list: T[], say: (one: T) => [string, string]): NameGroup {
  return {
    title,
    names: list.map(one => {
      const [insert, about] = say(one)
      return { insert, about }
    }),
  }
}

export interface NearMiss {
  /** The rarer of the two. */
  name: string
  other: string
  where: { tree: string; check: string }[]
}

/**
 * Names for one kind of thing that differ by a letter or two, by capitals, hyphens or a plural: perhaps one
 * thing under two names. Those that stand in `tree` come alone when it is given.
 */
export function nearMisses(knowledge: Knowledge, tree?: string): NearMiss[] {
  return [...namesByKind(knowledge).values()].flatMap(names => {
    const list = [...names].sort((a, b) => b[1].length - a[1].length)
    return list.flatMap(([name, where], at) => {
      const other = list.slice(0, at).find(([known]) => isNear(name, known))?.[0]
      const asked = tree === undefined || where.some(place => place.tree === tree)
      return other !== undefined && asked ? [{ name, other, where }] : []
    })
  })
}

type Uses = Map<string, { tree: string; check: string }[]>

function namesByKind(knowledge: Knowledge): Map<string, Uses> {
  const kinds = new Map<string, Uses>()
  for (const tree of knowledge.trees.values()) {
    for (const check of tree.checks.values()) {
      for (const [kind, name] of namesIn(check)) {
        const uses = kinds.get(kind) ?? new Map()
        kinds.set(kind, uses.set(name, [...(uses.get(name) ?? []), { tree: tree.slug, check: check.title }]))
      }
    }
  }
  return kinds
}

function namesIn(check: Check): [string, string][] {
  const { does, disturbs, needs } = check
  const names: [string, string][] = [[does.kind, subjectOf(check)]]
  if (disturbs) names.push(['disturbs', disturbs])
  return [...names, ...needs.map((need): [string, string] => ['needs', need])]
}

/**
 * The same but for capitals, hyphens and a plural; or one word
 * of several letters that differs in one of them.
 */
function isNear(a: string, b: string): boolean {
  if (a === b) return false
  const [left, right] = [levelled(a), levelled(b)]
  if (left === right || left.replaceAll(' ', '') === right.replaceAll(' ', '')) return true
  const words = left.split(' ')
  const others = right.split(' ')
  if (words.length !== others.length || digits(left) !== digits(right)) return false
  const differing = words.flatMap((word, at) =>
    word === others[at] ? [] : [[word, others[at] ?? ''] as const],
  )
  const [pair] = differing
  return differing.length === 1 && pair !== undefined && isSlip(...pair)
}

/** Short words (AC and DC, in and on) and words that differ more (minimum and maximum) are other words. */
function isSlip(a: string, b: string): boolean {
  return Math.min(a.length, b.length) >= 5 && Math.max(a.length, b.length) <= 40 && editDistance(a, b) === 1
}

/** "Loop 1" and "Loop 2" are two things. */
function digits(name: string): string {
  return name.replace(/[^0-9]/g, '')
}

function levelled(name: string): string {
  return name
    .toLowerCase()
    .replace(/[-–\s]+/g, ' ')
    .replace(/s\b/g, '')
}

export interface OfferedCaution {
  check: string
  line: number
  /** Markdown lines, ready to stand under the heading. */
  offers: string[]
}

/**
 * For each check that touches live terminals and has no caution of its own: cautions other checks on the same
 * terminals have, else one made from the terminals' table.
 */
export function offeredCautions(knowledge: Knowledge, kit: Equipment, tree: FaultTree): OfferedCaution[] {
  return [...tree.checks.values()].flatMap(check => {
    const live = kit.terminals.filter(one => one.live !== null && check.does.between.includes(one.name))
    const [first] = live
    if (!first || check.cautions.length > 0) return []
    const written = cautionsOn(
      knowledge,
      kit,
      live.map(one => one.name),
    )
    const names = live.map(one => one.name).join(' and ')
    const made = `**Caution** ${names} ${live.length > 1 ? 'are' : 'is'} live at ${first.live}.`
    return [
      {
        check: check.title,
        line: check.source.line,
        offers: (written.length > 0 ? written : [made]).map(quoted),
      },
    ]
  })
}

function cautionsOn(knowledge: Knowledge, kit: Equipment, names: string[]): string[] {
  const same = (check: Check) => names.every(name => check.does.between.includes(name))
  const trees = [...knowledge.trees.values()].filter(tree => tree.equipment === kit.slug)
  const all = trees.flatMap(tree => [...tree.checks.values()].filter(same).flatMap(check => check.cautions))
  return [...new Set(all)].slice(0, 3)
}

function quoted(caution: string): string {
  return caution
    .trim()
    .split('\n')
    .map(line => `> ${line}`)
    .join('\n')
}
