import { type PositionTimeline, positionTimeline } from '../charts/position-timeline.ts'
import type { Window } from '../history/basis.ts'
import { groupBy } from '../history/group-by.ts'
import { formatQuantity } from '../measurement/readings/format.ts'
import type { PositionFault } from '../storage/history/history-position.ts'
import type { ReadingSeries } from '../storage/history/history-readings.ts'
import { capitalize } from '../words.ts'
import type { Names } from './names.ts'
import type { ReviewSource } from './source.ts'

type Lane = PositionTimeline['lanes'][number]

/** Faults, readings, units, visits, work and notes of one position, one lane each. */
export function timelineOf(
  deps: ReviewSource,
  names: Names,
  positionId: string,
  window: Window,
  faults: readonly PositionFault[],
  series: readonly ReadingSeries[],
  id = 'timeline',
) {
  return positionTimeline({
    id,
    title: 'Everything on record here',
    fromMs: window.fromMs,
    toMs: window.toMs,
    lanes: [
      markLane(
        'Faults',
        faults.map(fault => faultWords(fault, names)),
        true,
      ),
      readingLane(series, names, window),
      ...unitLanes(deps, positionId, window),
      ...eventLanes(deps, names, positionId, window),
    ],
  })
}

function markLane(name: string, events: { atMs: number; words: string }[], out = false): Lane {
  return { name, marks: events.map(({ atMs, words }) => ({ atMs, words, out })), spans: [] }
}

/** Visits, work and notes. */
function eventLanes(deps: ReviewSource, names: Names, positionId: string, window: Window): Lane[] {
  const { ofPosition } = deps.storage.history
  const visits = ofPosition.visits(positionId, window)
  const work = ofPosition.work(positionId, window)
  const notes = ofPosition.notes(positionId, window)
  return [
    markLane(
      'Visits',
      visits.map(({ atMs, by }) => ({ atMs, words: `attended by ${by}` })),
    ),
    markLane(
      'Work',
      work.map(({ atMs, action, cause, words }) => ({
        atMs,
        words: `${action}: ${names.cause(cause)}${words ? `. ${words}` : ''}`,
      })),
    ),
    markLane(
      'Notes',
      notes.map(({ atMs, words, by }) => ({ atMs, words: `${words} (${by})` })),
    ),
  ]
}

function faultWords({ atMs, symptom, cause, outcome, clearedItself }: PositionFault, names: Names) {
  const end = cause !== null ? names.cause(cause) : clearedItself ? 'cleared itself' : (outcome ?? 'open')
  return { atMs, words: `${symptom}: ${end}` }
}

function readingLane(series: readonly ReadingSeries[], names: Names, window: Window): Lane {
  const marks = series.flatMap(one =>
    one.readings
      .filter(({ atMs }) => atMs >= window.fromMs && atMs < window.toMs)
      .map(({ atMs, value, min, max }) => ({
        atMs,
        words: `${names.check(one)}: ${value === null ? 'no number' : formatQuantity(value, one.unit)}`,
        out: value !== null && ((min !== null && value < min) || (max !== null && value > max)),
      })),
  )
  return { name: 'Readings', marks, spans: [] }
}

/** One lane a kind of unit, named by its first word. Stays that ended before the window are left out. */
function unitLanes(deps: ReviewSource, positionId: string, window: Window): Lane[] {
  const stays = deps.storage.history.ofPosition
    .stays(positionId)
    .filter(stay => (stay.removedMs ?? Infinity) > window.fromMs && stay.fittedMs < window.toMs)
  return [...groupBy(stays, stay => stay.kind)].map(([kind, own]) => ({
    name: capitalize(kind.split(' ')[0] ?? kind),
    marks: [],
    spans: own.map(({ serial, fittedMs, removedMs }) => ({
      fromMs: fittedMs <= window.fromMs ? null : fittedMs,
      toMs: removedMs,
      label: serial,
      words: `${kind} ${serial}`,
    })),
  }))
}
