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
) {
  const { ofPosition } = deps.storage.history
  const marks = (name: string, events: { atMs: number; words: string }[], out = false): Lane => ({
    name,
    marks: events.map(({ atMs, words }) => ({ atMs, words, out })),
    spans: [],
  })
  const visits = ofPosition
    .visits(positionId, window)
    .map(one => ({ ...one, words: `attended by ${one.by}` }))
  const work = ofPosition.work(positionId, window).map(one => ({
    ...one,
    words: `${one.action}: ${names.cause(one.cause)}${one.words ? `. ${one.words}` : ''}`,
  }))
  const notes = ofPosition
    .notes(positionId, window)
    .map(one => ({ ...one, words: `${one.words} (${one.by})` }))
  return positionTimeline({
    id: 'timeline',
    title: 'Everything on record here',
    fromMs: window.fromMs,
    toMs: window.toMs,
    lanes: [
      marks(
        'Faults',
        faults.map(fault => faultWords(fault, names)),
        true,
      ),
      readingLane(series, names, window),
      ...unitLanes(deps, positionId, window),
      marks('Visits', visits),
      marks('Work', work),
      marks('Notes', notes),
    ],
  })
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

/** One lane a kind of unit, named by its first word. Stays that ended before the window belong to another story. */
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
