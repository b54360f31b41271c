// A patient robot: walks a tree as the program does, one check after the other, and believes what it reads.

import type { State, World } from '../circuit/world.ts'
import { causeKey, refOf } from '../knowledge/graph.ts'
import type { Check, End, Equipment, Knowledge } from '../knowledge/types.ts'
import { parseReading } from '../measurement/readings/reading.ts'
import { getUnit } from '../measurement/readings/units.ts'
import { judge } from '../measurement/verdicts/verdict.ts'
import { expectedAt } from '../walk/expected.ts'
import type { PositionFacts } from '../walk/fit.ts'
import { type Place, type Walk, walk } from '../walk/place.ts'
import type { CheckFinding, Finding } from '../walk/record.ts'
import { rowOf } from '../walk/row.ts'
import type { Chance } from './chance.ts'
import { look } from './looks.ts'
import { recordOf } from './positions.ts'
import { planOf, type Taken, take, typed } from './probes.ts'
import { stateAfter, stateAt } from './state-words.ts'
import { SYMPTOM_ORDER, shows } from './symptoms.ts'
import type { Hidden } from './worlds.ts'

/** `stuck`: nobody could go on at the check, and why. */
export type Arrival =
  | { kind: 'cause'; cause: string }
  | { kind: 'end'; end: End }
  | { kind: 'stuck'; check: Check; why: string }

export interface Walked {
  arrival: Arrival
  findings: Finding[]
  /** Check titles with what was found, for a report. */
  path: string[]
  /** Looks that the robot had no words for. */
  unknown: string[]
}

/** A walk under way. `scatter` is by how much readings of one thing differ, as a share of the reading. */
export interface Going {
  knowledge: Knowledge
  world: World
  chance: Chance
  scatter?: number
  state: State
  findings: Finding[]
  path: string[]
  unknown: string[]
}

const MOST_CHECKS = 80

/** Walks a hidden fault from the start of its tree to where the walk ends. The same chance gives the same walk. */
export function walkOnce(knowledge: Knowledge, { world, state, tree }: Hidden, chance: Chance): Walked {
  const going: Going = { knowledge, world, chance, state, findings: [], path: [], unknown: [] }
  for (let count = 0; count < MOST_CHECKS; count++) {
    const stands = walk(knowledge, tree, going.findings)
    const arrival = arrived(stands.place) ?? step(going, stands)
    if (arrival) return { arrival, findings: going.findings, path: going.path, unknown: going.unknown }
  }
  throw new Error(`The walk of ${tree} does not end.`)
}

/** An end whose words send the technician to another tree, as a fault reported anew. */
const REPORTED_ANEW = /open a fault|take the tree|begin (?:a|the) tree|use the tree/i
const MOST_REPORTS = 2

/**
 * As `walkOnce`; where the end says to open a fault or take another tree, the symptom that shows then is reported and
 * walked too, all put back before.
 */
export function walkRobot(knowledge: Knowledge, hidden: Hidden, chance: Chance): Walked {
  const trees = [hidden.tree]
  let walked = walkOnce(knowledge, hidden, chance)
  while (trees.length <= MOST_REPORTS && sentOn(walked.arrival)) {
    const next = symptomNow(knowledge, hidden, trees)
    if (!next) break
    trees.push(next.tree)
    const again = walkOnce(knowledge, next, chance)
    walked = {
      ...again,
      path: [...walked.path, ...again.path],
      unknown: [...walked.unknown, ...again.unknown],
    }
  }
  return walked
}

function sentOn(arrival: Arrival): boolean {
  return arrival.kind === 'end' && arrival.end.means === 'pass on' && REPORTED_ANEW.test(arrival.end.about)
}

/** The first fault tree not walked yet whose symptom shows: the supply first, as the telltales are read. */
function symptomNow(knowledge: Knowledge, hidden: Hidden, walked: string[]): Hidden | null {
  for (const tree of SYMPTOM_ORDER) {
    if (walked.includes(tree) || knowledge.trees.get(tree)?.kind !== 'fault') continue
    const state = shows(tree, hidden.world, hidden.cause.split('/')[1] ?? '')
    if (state) return { ...hidden, tree, state }
  }
  return null
}

function arrived(place: Place): Arrival | null {
  if (place.kind === 'cause') return { kind: 'cause', cause: causeKey(place.cause) }
  return place.kind === 'end' ? { kind: 'end', end: place.end } : null
}

/** Makes the check the walk stands at; an arrival where it can't be made. */
function step(going: Going, stands: Walk): Arrival | null {
  const { place } = stands
  if (place.kind !== 'check') throw new Error(`The walk is ${place.kind}.`)
  const { check } = place
  const finding = makeCheck(going, stands, check)
  if (typeof finding === 'string') return { kind: 'stuck', check, why: finding }
  going.findings.push(finding)
  return null
}

/** What is found at a check in the world as it is; in words why nothing could be. Moves the state along. */
export function makeCheck(going: Going, stands: Walk, check: Check): CheckFinding | string {
  going.state = stateAt(check, going.state)
  const found = check.does.kind === 'measure' ? measured(going, stands, check) : observed(going, check)
  going.state = stateAfter(check, going.state)
  return found
}

function made(going: Going) {
  const seq = going.findings.length + 1
  return {
    ...{ id: `f${seq}`, seq, attendanceId: 'a', at: '2027-01-01T00:00:00Z', by: 'robot', byName: 'Robot' },
    ...{ replaces: null, reason: null, note: null, chosenRow: null },
  }
}

function observed(going: Going, check: Check): CheckFinding | string {
  const { row, known } = look(check, going.world, going.state)
  if (!known) going.unknown.push(`${check.tree}#${check.slug}`)
  if (!row) return 'there is nothing to choose'
  going.path.push(`${check.title}: ${row.label}`)
  if (row.match.kind === 'cannot tell') return { ...made(going), kind: 'cannot tell', check: refOf(check) }
  return { ...made(going), kind: 'observation', check: refOf(check), word: row.label }
}

function measured(going: Going, stands: Walk, check: Check): CheckFinding | string {
  const { world, state, chance } = going
  const equipment = equipmentOf(going.knowledge, check)
  const { range, problem } = expectedAt(equipment, factsOf(world, equipment), stands, check)
  if (problem) return problem
  const shown = spread(take(check, world, state, chance), going)
  if (!shown) return 'it is not said where to measure'
  if (shown.kind === 'live') return 'an ohmmeter on a circuit that is not dead'
  const text = typed(check, shown, world.site.supplyFuse, range?.min ?? null)
  going.path.push(`${check.title}: ${text}`)
  const unit = check.does.kind === 'measure' ? check.does.unit : ''
  const parsed = parseReading(text, unit, range)
  if (!parsed.ok) return `“${text}” was not taken as a reading`
  const { reading } = parsed
  const verdict = judge(reading, range)
  const finding: CheckFinding = {
    ...{
      ...made(going),
      kind: 'reading',
      check: refOf(check),
      text,
      reading,
      range,
      verdict,
      instrument: null,
    },
  }
  if (rowOf(check, finding).row) return finding
  const chosenRow = range === null ? byPlan(check, world, reading.kind === 'value' ? reading.value : 0) : null
  return chosenRow ? { ...finding, chosenRow } : `no row takes ${text}`
}

function spread(shown: Taken | null, { scatter = 0, chance }: Going): Taken | null {
  if (shown?.kind !== 'value' || scatter === 0) return shown
  return { ...shown, value: shown.value * (1 + chance.between(-scatter, scatter)) }
}

/** m within which a place is as the plan has it. */
const AS_PLANNED = 0.015

/** V of the red lamp and of a battery on the diagram of the demonstration, and the share by which each may differ. */
const ON_DIAGRAM: Record<string, number> = { 'V AC': 110, 'V DC': 26 }
const AS_FED = 0.1

/** Where a limit is blank, what is read is compared with the plan or the diagram, and the row chosen by hand. */
function byPlan(check: Check, world: World, value: number): string | null {
  const unit = check.does.kind === 'measure' ? getUnit(check.does.unit).base : ''
  if (unit === 'm') return rowByHand(check, planOf(check, world).off, AS_PLANNED)
  const volts = ON_DIAGRAM[unit]
  return volts === undefined ? null : rowByHand(check, value - volts, AS_FED * volts)
}

function rowByHand(check: Check, off: number, allowed: number): string | null {
  const sides = Math.abs(off) <= allowed ? ['in range'] : [off > 0 ? 'above' : 'below', 'otherwise']
  const row = sides.flatMap(side => check.rows.filter(({ match }) => match.kind === side))[0]
  return row?.label ?? null
}

function equipmentOf(knowledge: Knowledge, check: Check): Equipment {
  const slug = knowledge.trees.get(check.tree)?.equipment ?? ''
  const equipment = knowledge.equipment.get(slug)
  if (!equipment) throw new Error(`There is no equipment ${slug}.`)
  return equipment
}

const records = new WeakMap<World, Map<string, PositionFacts>>()

function factsOf(world: World, equipment: Equipment): PositionFacts {
  const known = records.get(world) ?? new Map<string, PositionFacts>()
  records.set(world, known)
  const facts = known.get(equipment.slug) ?? recordOf(world.site, equipment)
  known.set(equipment.slug, facts)
  return facts
}
