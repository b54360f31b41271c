// What the technicians of the demo find, and where they stray.

import { refOf } from '../../knowledge/graph.ts'
import { matchRow } from '../../knowledge/match.ts'
import type { Check, CheckRef, Row } from '../../knowledge/types.ts'
import type { Range } from '../../measurement/limits/expectation.ts'
import { createRandom } from '../../statistics/random.ts'
import { expectedAt } from '../../walk/expected.ts'
import { placeKey, type Walk } from '../../walk/place.ts'
import type { Finding } from '../../walk/record.ts'
import { instrumentFor } from '../railway/instruments.ts'
import { keyOf, usualRow } from '../railway/routes.ts'
import { type DemoReading, type MeasuringCheck, measures, readingFor, readingOf } from './readings.ts'
import { made, pass, type Story } from './story.ts'
import * as words from './words.ts'

/** Finds at the check what is planned for it, now and then after a mistake that is put right at once. */
export function find(story: Story, walk: Walk, check: Check): void {
  pass(story, minutesFor(story, check))
  const row = story.shows.get(keyOf(check)) ?? usualRow(check)
  if (!row) throw new Error(`“${check.title}” has no rows.`)
  const wrong = mistake(story, check, row)
  const first = findingAt(story, walk, check, wrong ?? row, null)
  add(story, first)
  if (!wrong) return
  story.had.add('correction')
  pass(story, 2)
  const reason = story.scene.random.pick(words.misread)
  add(story, { ...findingAt(story, walk, check, row, first.id), reason })
}

/** Leaves the path for a check further on, where the route has one; true when it did. */
export function stray(story: Story, check: Check): boolean {
  const { path } = story.scene.planned.route
  const here = path.findIndex(step => keyOf(step.check) === keyOf(check))
  const beyond = here < 0 ? undefined : path[here + 2]
  if (!beyond || story.misled) return false
  story.had.add('departure')
  pass(story, 2)
  depart(story, keyOf(check), refOf(beyond.check), false, story.scene.random.pick(words.leftPath))
  return true
}

export function depart(story: Story, from: string, to: CheckRef, suggested: boolean, reason: string): void {
  add(story, { ...made(story, 'departure'), ...plain(story), kind: 'departure', from, to, suggested, reason })
}

/** After a cause was ruled out: on to the first check on the true way that was not found so before. */
export function goOn(story: Story, walk: Walk): void {
  if (walk.place.kind !== 'choose') return
  const found = new Map(
    walk.path.flatMap(step => (step.kind === 'check' ? [[keyOf(step.check), step.row]] : [])),
  )
  const { path } = story.scene.planned.route
  const next = path.find(step => found.get(keyOf(step.check)) !== step.row) ?? path.at(-1)
  if (!next) throw new Error('The planned route is empty.')
  const suggested = walk.place.offers.includes(next.check)
  pass(story, 3)
  depart(story, placeKey(walk.place), refOf(next.check), suggested, 'The repair did not cure it.')
}

export function ruleOut(story: Story, cause: string, mended: boolean): void {
  pass(story, 2)
  const reason = mended ? 'Mended and proved, and the symptom is still there.' : 'The proof failed.'
  add(story, { ...made(story, 'rejection'), ...plain(story), kind: 'rejection', cause, mended, reason })
}

/** A reading at the check that takes the row, as this position usually reads. */
export function readAt(story: Story, walk: Walk, check: MeasuringCheck, row: Row): DemoReading {
  const { equipment, position, seed, random } = story.scene
  const { range } = expectedAt(equipment, position.facts, walk, check)
  const instrument = instrumentFor(check, range, story.person)
  const creeping = row.match.kind === 'in range' ? creepingValue(story, check, range) : null
  const crept = creeping === null ? null : readingOf(check, creeping, range, instrument)
  if (crept && matchRow(check, { kind: 'reading', ...crept }) === row) return crept
  const habit = 0.25 + 0.5 * createRandom(`${seed} ${position.id} ${keyOf(check)}`).unit()
  return readingFor(check, row, range, habit, instrument, random)
}

export function minutesFor(story: Story, check: Check): number {
  return 1 + (check.minutes ?? 3) * story.scene.random.between(0.8, 1.8)
}

/** A contact that creeps up reads from a third of its limit to all but the whole of it; once mended, low again. */
function creepingValue(story: Story, check: Check, range: Range | null): number | null {
  const { drift } = story.scene.planned
  if (drift?.check !== check || !range || range.max === null) return null
  const mended = story.record.repairs.length > 0 && drift.share === 1
  const share = mended ? 0.25 : 0.32 + 0.68 * drift.share
  return range.max * Math.min(0.99, share + 0.02 * story.scene.random.normal())
}

/** Another row than the true one, at a measurement, where a correction is planned and none was made yet. */
function mistake(story: Story, check: Check, row: Row): Row | null {
  const { planned, random } = story.scene
  if (!planned.correction || story.had.has('correction') || !measures(check)) return null
  const others = check.rows.filter(other => other !== row && other.match.kind !== 'cannot tell')
  return others.length > 0 && random.chance(0.6) ? random.pick(others) : null
}

function findingAt(story: Story, walk: Walk, check: Check, row: Row, replaces: string | null): Finding {
  const common = { ...made(story, 'finding'), ...plain(story), replaces, check: refOf(check) }
  if (row.match.kind === 'cannot tell') return { ...common, kind: 'cannot tell', chosenRow: null }
  if (!measures(check)) {
    return { ...common, kind: 'observation', word: wordOf(row), chosenRow: null }
  }
  const read = readAt(story, walk, check, row)
  const reason = read.chosenRow === null ? null : story.scene.random.pick(words.judged)
  return { ...common, kind: 'reading', ...read, reason }
}

export function wordOf(row: Row): string {
  return row.match.kind === 'word' ? row.match.word : 'something else'
}

function plain(story: Story) {
  return { seq: story.record.findings.length + 1, replaces: null, reason: null, note: null }
}

function add(story: Story, finding: Finding): void {
  story.record.findings.push(finding)
  const { id: faultId } = story.record.fault
  const { byName: _name, seq: _seq, ...own } = finding
  story.writes.push(storage => storage.findings.add({ ...own, faultId }))
}
