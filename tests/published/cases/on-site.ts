// The published pack, walked with what people on site could see.

import { compile } from '../../../server/knowledge/compile.ts'
import { causeKey, findCheck } from '../../../server/knowledge/graph.ts'
import { readKnowledge } from '../../../server/knowledge/load.ts'
import type { Check, CheckRef, Equipment, FaultTree, Knowledge } from '../../../server/knowledge/types.ts'
import { type Range, resolveRange } from '../../../server/measurement/limits/expectation.ts'
import { parseReading } from '../../../server/measurement/readings/reading.ts'
import { judge } from '../../../server/measurement/verdicts/verdict.ts'
import { expectedAt } from '../../../server/walk/expected.ts'
import { type Place, type Walk, walk } from '../../../server/walk/place.ts'
import type { Finding } from '../../../server/walk/record.ts'

export const pack: Knowledge = compilePack()

/** An overspeed pair of invented dimensions: 150 m of 2.5 mm² class 2, set for 40 mph with the passenger timer. */
export const OVERSPEED_PAIR: Record<string, string> = {
  direction: 'normal',
  duty: 'overspeed',
  indication: 'own lamp',
  'contact finish': 'gold',
  'loop size': 'standard',
  'modules fed': 'one',
  'cable length': '150',
  'conductor size': '2.5',
  'conductor class': 'class 2',
  'loop spacing': '17.42',
  'set speed': '40',
  timer: '974',
  'arming tone': '64.25',
  'trigger tone': '65.25',
  'fuse rating': '2',
}

/** `[check, what was found]`: the check as `slug` of the tree or `other-tree#slug`, a word or a reading as typed. */
export type Seen = [check: string, found: string]

/** Walks a tree with findings in order; every finding must lie on the path. */
export function walkOnSite(tree: string, seen: Seen[], facts = OVERSPEED_PAIR): Walk {
  const findings: Finding[] = []
  for (const [index, [name, found]] of seen.entries()) {
    const check = checkNamed(tree, name)
    findings.push(findingOf(check, found, index, facts, walk(pack, tree, findings)))
  }
  const result = walk(pack, tree, findings)
  if (result.offPath.length > 0)
    throw new Error(
      `${result.offPath.length} findings lie off the path, which stands at ${describe(result.place)}`,
    )
  return result
}

/** `equipment/cause`, `tree#check` or `tree#end`. */
export function describe(place: Place): string {
  switch (place.kind) {
    case 'cause':
      return causeKey(place.cause)
    case 'check':
      return `${place.check.tree}#${place.check.slug}`
    case 'end':
      return `${place.end.tree}#${place.end.slug}`
    default:
      return place.kind
  }
}

/** Where a walk comes to, in the words of `describe`. */
export function comesTo(tree: string, seen: Seen[], facts = OVERSPEED_PAIR): string {
  return describe(walkOnSite(tree, seen, facts).place)
}

export function checkNamed(tree: string, name: string): Check {
  const [first = '', second] = name.split('#')
  const ref: CheckRef = second === undefined ? { tree, check: first } : { tree: first, check: second }
  const check = findCheck(pack, ref)
  if (!check) throw new Error(`The pack has no check ${ref.tree}#${ref.check}.`)
  return check
}

export function treeNamed(slug: string): FaultTree {
  const tree = pack.trees.get(slug)
  if (!tree) throw new Error(`The pack has no tree ${slug}.`)
  return tree
}

export function equipmentNamed(slug: string): Equipment {
  const equipment = pack.equipment.get(slug)
  if (!equipment) throw new Error(`The pack has no equipment ${slug}.`)
  return equipment
}

/** Everything a cause says: remedy and cautions. `cause` is `equipment/cause`. */
export function causeText(cause: string): string {
  const [equipment = '', slug = ''] = cause.split('/')
  const found = pack.equipment.get(equipment)?.causes.get(slug)
  if (!found) throw new Error(`The pack has no cause ${cause}.`)
  return [found.remedy, ...found.cautions].join(' ')
}

/** A limit of an equipment's table, worked out at a position with these facts, each with its unit. */
export function limitAt(
  equipment: string,
  name: string,
  values: [string, { value: number; unit: string } | string][] = [],
): Range {
  const limit = equipmentNamed(equipment).limits.find(candidate => candidate.name === name)
  if (!limit?.expectation) throw new Error(`The limit ${name} is not there or is blank.`)
  const resolved = resolveRange(
    limit.expectation,
    { values: new Map(values) },
    { from: limit.from, demo: limit.demo },
  )
  if (!resolved.ok) throw new Error(resolved.message)
  return resolved.range
}

function compilePack(): Knowledge {
  const { files, problems } = readKnowledge('knowledge')
  const compiled = compile(files)
  if (problems.length > 0 || !compiled.knowledge) throw new Error('The knowledge folder has errors.')
  return compiled.knowledge
}

function findingOf(
  check: Check,
  found: string,
  index: number,
  facts: Record<string, string>,
  soFar: Walk,
): Finding {
  const made = {
    id: `f${index}`,
    attendanceId: 'first',
    at: new Date(Date.UTC(2026, 2, 3, 8, index)).toISOString(),
    by: 'ada',
    byName: 'Ada',
    seq: index + 1,
    replaces: null,
    reason: null,
    note: null,
    check: { tree: check.tree, check: check.slug },
    chosenRow: null,
  }
  if (check.does.kind === 'observe') return { ...made, kind: 'observation', word: found }
  const parsed = parseReading(found, check.does.unit)
  if (!parsed.ok) throw new Error(`“${found}” is no reading in ${check.does.unit}.`)
  const equipment = equipmentNamed(treeNamed(check.tree).equipment)
  const { range, problem } = expectedAt(equipment, facts, soFar, check)
  if (problem) throw new Error(problem)
  const verdict = judge(parsed.reading, range, null)
  return { ...made, kind: 'reading', text: found, reading: parsed.reading, range, verdict, instrument: null }
}
