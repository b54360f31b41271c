// Maintenance rounds on the demo railway. They have chance of their own, so the faults are the same with or without them.

import { findEnd, type Path, pathsToEnds, refOf } from '../../knowledge/graph.ts'
import { matchRow } from '../../knowledge/match.ts'
import type { Check, FaultTree, Knowledge, Row } from '../../knowledge/types.ts'
import { createRandom, type Random } from '../../statistics/random.ts'
import type { HowEnded, NewVisitFinding, Storage } from '../../storage/storage.ts'
import { expectedAt } from '../../walk/expected.ts'
import { walk } from '../../walk/place.ts'
import type { Finding } from '../../walk/record.ts'
import { instrumentFor } from '../railway/instruments.ts'
import { type DemoPerson, technicians } from '../railway/people.ts'
import type { DemoPosition, Railway } from '../railway/railway.ts'
import { agreesWith, isPlain, keyOf } from '../railway/routes.ts'
import { type DemoReading, type MeasuringCheck, measures, readingFor, readingOf } from './readings.ts'
import { plantedTruths } from './truths.ts'

const DAY = 86_400_000
const INTERVAL_DAYS = 90
const SINCE_DAYS = 450
/** A long round has many ways, as much of it can be left; the healthy ones are the longest. */
const MOST_WAYS = 20_000

interface Rounds {
  storage: Storage
  knowledge: Knowledge
  editionId: string
  random: Random
  seed: number
  count: number
}

interface Ways {
  tree: FaultTree
  healthy: Path[]
  partly: Path[]
  found: Path[]
}

/** Writes an interval for each kind with a round, and some fifteen months of rounds; after the faults, into the same transaction. */
export function writeVisits(
  storage: Storage,
  {
    seed,
    now,
    knowledge,
    editionId,
    railway,
  }: { seed: number; now: Date; knowledge: Knowledge; editionId: string; railway: Railway },
): void {
  const rounds: Rounds = {
    storage,
    knowledge,
    editionId,
    seed,
    count: 0,
    random: createRandom(`${seed} visits`),
  }
  const ways = waysOf(knowledge)
  for (const kind of ways.keys()) storage.visits.setInterval(kind, INTERVAL_DAYS)
  // Where a contact creeps, its readings are the faults' own story.
  const left = new Set(plantedTruths(seed).drifting)
  for (const position of railway.positions) {
    const way = ways.get(position.equipment)
    if (way && !left.has(position.id)) visitPosition(rounds, way, position, now.getTime())
  }
}

/** About every three months, the last one now and then left out, and never while a fault is open. */
function visitPosition(rounds: Rounds, ways: Ways, position: DemoPosition, now: number): void {
  const { random, storage } = rounds
  const faults = storage.faults.listByPosition(position.id).map(fault => ({
    id: fault.id,
    from: Date.parse(fault.reportedAt),
    to: fault.closedAt === null ? Number.POSITIVE_INFINITY : Date.parse(fault.closedAt),
  }))
  const until = now - (random.chance(0.15) ? random.between(20, 80) : 1) * DAY
  let at =
    Math.max(now - SINCE_DAYS * DAY, Date.parse(position.inService)) + random.between(0, INTERVAL_DAYS) * DAY
  for (; at < until; at += (INTERVAL_DAYS - 8 + 7 * random.normal()) * DAY) {
    if (faults.some(fault => at > fault.from - DAY && at < fault.to + DAY)) continue
    const partly = ways.partly.length > 0 && random.chance(0.06)
    const how: HowEnded = random.chance(0.02) ? 'broken off' : partly ? 'healthy in part' : 'healthy'
    tellVisit(rounds, ways, position, at, how, null)
  }
  if (position.indicated || ways.found.length === 0) return
  for (const fault of faults) {
    const found = fault.from > now - SINCE_DAYS * DAY && random.chance(0.5)
    if (found) tellVisit(rounds, ways, position, fault.from - 25 * 60_000, 'fault found', fault.id)
  }
}

function tellVisit(
  rounds: Rounds,
  ways: Ways,
  position: DemoPosition,
  began: number,
  how: HowEnded,
  faultId: string | null,
): void {
  const { random, storage, editionId } = rounds
  rounds.count += 1
  const id = `visit-${String(rounds.count).padStart(4, '0')}`
  const person = random.pick(technicians)
  const { slug: tree } = ways.tree
  const own = { id, positionId: position.id, tree, editionId, by: person.id, plate: position.plate }
  storage.visits.start({ ...own, at: iso(began) })
  const path = pathFor(ways, how, position, random)
  const steps = how === 'broken off' ? path.slice(0, 2) : path
  const findings: Finding[] = []
  // A fault found is reported by the time its round has ended.
  const each = how === 'fault found' ? Math.floor(20 / Math.max(1, steps.length)) : 3
  steps.forEach(({ check, row }, n) => {
    const at = iso(began + (n + 1) * each * 60_000)
    const found = findingAt(rounds, position, person, findings, check, row, `${id}-${n + 1}`, at)
    findings.push({ ...found, attendanceId: id, byName: person.name, seq: n + 1 } as Finding)
    storage.visits.addFinding({ ...found, visitId: id })
  })
  const restorations = steps.flatMap(({ check }, n) =>
    check.disturbs === null
      ? []
      : [{ id: `${id}-back-${n + 1}`, itemKey: `finding:${id}-${n + 1}`, how: 'restored' as const }],
  )
  const words = {
    healthy: '',
    'healthy in part': 'No protection for the loops today.',
    'fault found': 'Reported at once.',
    'broken off': 'Called away to a fault.',
  }[how]
  const at = iso(began + (steps.length * each + 2) * 60_000)
  storage.visits.end({ id: `${id}-end`, visitId: id, at, by: person.id, how, words, faultId, restorations })
}

type Told = NewVisitFinding extends infer F
  ? F extends unknown
    ? Omit<F, 'visitId' | 'at'> & { at: string }
    : never
  : never

interface Measuring {
  position: DemoPosition
  person: DemoPerson
  findings: Finding[]
  check: MeasuringCheck
  row: Row
}

function findingAt(
  rounds: Rounds,
  position: DemoPosition,
  person: DemoPerson,
  findings: Finding[],
  check: Check,
  row: Row,
  id: string,
  at: string,
): Told {
  const common = {
    id,
    at,
    by: person.id,
    check: refOf(check),
    replaces: null,
    reason: null,
    note: null,
    chosenRow: null,
  }
  if (row.match.kind === 'cannot tell') return { ...common, kind: 'cannot tell' }
  if (!measures(check))
    return {
      ...common,
      kind: 'observation',
      word: row.match.kind === 'word' ? row.match.word : 'something else',
    }
  const read = measuredAt(rounds, { position, person, findings, check, row })
  return {
    ...common,
    kind: 'reading',
    ...read,
    reason: read.chosenRow === null ? null : 'By our own instructions.',
  }
}

/** A reading that takes the row: near the position's habitual value where that is in range. */
function measuredAt(
  { knowledge, seed, random }: Rounds,
  { position, person, findings, check, row }: Measuring,
): DemoReading {
  const equipment = knowledge.equipment.get(position.equipment)
  if (!equipment) throw new Error(`The demo has no equipment ${position.equipment}.`)
  const { range } = expectedAt(equipment, position.facts, walk(knowledge, check.tree, findings), check)
  const instrument = instrumentFor(check, range, person)
  const habit = 0.25 + 0.5 * createRandom(`${seed} ${position.id} ${keyOf(check)}`).unit()
  const middling = row.match.kind === 'otherwise' && range?.min != null && range.max !== null
  const value = middling
    ? (range.min ?? 0) + (habit + 0.05 * random.normal()) * ((range.max ?? 0) - (range.min ?? 0))
    : null
  const taken = value === null ? null : takes(check, row, readingOf(check, value, range, instrument))
  return taken ?? readingFor(check, row, range, habit, instrument, random)
}

/** The reading, where it takes the row by itself. */
function takes(check: MeasuringCheck, row: Row, read: DemoReading | null): DemoReading | null {
  return read && matchRow(check, { kind: 'reading', ...read }) === row ? read : null
}

function pathFor(ways: Ways, how: HowEnded, position: DemoPosition, random: Random): Path {
  if (how === 'fault found') return random.pick(ways.found)
  const all = how === 'healthy in part' ? ways.partly : ways.healthy
  const here = all.filter(path => agreesWith(path, position.facts) && sameTelling(path, position))
  return random.pick(mostInRange(here.length > 0 ? here : all))
}

/** No signaller is asked about a set that is not indicated. */
function sameTelling(path: Path, { indicated }: DemoPosition): boolean {
  return indicated || path.every(({ check }) => check.access !== TO_THE_SIGNALLER)
}

const TO_THE_SIGNALLER = 'talk to the signaller'
const AT_THE_LOOPS = 'at the loops'

/** No protection that day: all that lies at the loops is left, and nothing else. */
function withoutTheLoops(path: Path): boolean {
  return path.every(
    ({ check, row }) => (check.access === AT_THE_LOOPS) === (row.match.kind === 'cannot tell'),
  )
}

/** By kind of equipment: the ways through its first round. Kinds whose round has no healthy way are left out. */
function waysOf(knowledge: Knowledge): Map<string, Ways> {
  const all = new Map<string, Ways>()
  for (const tree of knowledge.trees.values()) {
    if (tree.kind !== 'round' || all.has(tree.equipment)) continue
    const ways: Ways = { tree, healthy: [], partly: [], found: [] }
    for (const [key, paths] of pathsToEnds(knowledge, tree, MOST_WAYS)) {
      const [slug = '', end = ''] = key.split('#')
      const means = findEnd(knowledge, { tree: slug, end })?.means
      if (means === 'pass on') ways.found.push(...paths.filter(path => path.length < 4 && isPlain(path)))
      if (means !== 'healthy') continue
      ways.healthy.push(...paths.filter(isPlain))
      ways.partly.push(...paths.filter(withoutTheLoops).filter(path => !isPlain(path)))
    }
    if (ways.healthy.length > 0) all.set(tree.equipment, ways)
  }
  return all
}

function mostInRange(paths: Path[]): Path[] {
  const inRange = (path: Path) => path.filter(({ row }) => row.match.kind === 'in range').length
  const most = Math.max(0, ...paths.map(inRange))
  return paths.filter(path => inRange(path) === most)
}

function iso(time: number): string {
  return new Date(time).toISOString()
}
