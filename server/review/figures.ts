// Each set of figures of the review by name, cached. What takes long on a large depot has its own page.

import { basisWords } from '../history/basis.ts'
import { dayMs } from '../history/positions/exposure.ts'
import { causesIn } from './causes.ts'
import { driftsIn, unrecordedWork } from './drift/drifts.ts'
import { cachedFigure, figureIfCached, isBehind } from './figure-cache.ts'
import { namesOf } from './names.ts'
import { offendersOf } from './offenders.ts'
import { type Past, readPast } from './past.ts'
import { longestDays, repeatsIn } from './repeats.ts'
import { restoringIn } from './restoring.ts'
import type { ReviewSource } from './source.ts'
import { trendsIn } from './trends.ts'
import { unitsIn } from './units.ts'
import { unseenIn } from './unseen.ts'
import { afterWorkIn, seasonIn, togetherIn, weatherIn } from './when/circumstances.ts'
import { temperatureIn } from './when/temperature.ts'
import type { AskedWindow } from './window.ts'

/** Faults, repeats and offenders of the window: what every page of the review begins with. */
export function coreOf(deps: ReviewSource, asked: AskedWindow) {
  const { history, reviewSettings } = deps.storage
  const rules = reviewSettings.repeatWindows()
  const name = `core ${asked.query} ${JSON.stringify(rules)}`
  const core = cachedFigure(deps, name, asAtMs => {
    const past = readPast(history, asked.at(asAtMs), asAtMs, longestDays(rules))
    const [repeats, offenders] = [repeatsIn(past, rules), offendersOf(past)]
    return { past, repeats, offenders, basis: basisOf(deps, past) }
  })
  return { ...core, behind: isBehind(deps, name) }
}

export type Core = ReturnType<typeof coreOf>

const makers = {
  /** Who stood out a week ago. */
  lastWeek: (deps: ReviewSource, _past: Past, asAtMs: number, asked: AskedWindow) => {
    const then = asAtMs - 7 * dayMs
    return new Set(
      offendersOf(readPast(deps.storage.history, asked.at(then), then)).out.map(one => one.position.id),
    )
  },
  units: (deps: ReviewSource, past: Past, asAtMs: number) =>
    unitsIn(
      deps.storage.history,
      asAtMs,
      id => placeName(past, id),
      tree => namesOf(deps).family(tree),
    ),
  drifts: (deps: ReviewSource, _past: Past, asAtMs: number) => driftsIn(deps.storage.history, asAtMs),
  steps: (deps: ReviewSource, _past: Past, asAtMs: number) => unrecordedWork(deps.storage.history, asAtMs),
  trends: (_deps: ReviewSource, past: Past) => trendsIn(past),
  unseen: (deps: ReviewSource, past: Past) =>
    unseenIn(deps.storage.history, past, deps.storage.visits.intervals()),
  causes: (deps: ReviewSource, past: Past) => causesIn(deps.storage.history, past),
  restoring: (deps: ReviewSource, past: Past) => restoringIn(deps.storage.history, past),
  season: (deps: ReviewSource, past: Past) => seasonIn(past, deps.config.timeZone),
  weather: (deps: ReviewSource, past: Past) => weatherIn(deps.storage.history, past),
  temperature: (deps: ReviewSource, past: Past) =>
    temperatureIn(deps.storage.history, past, deps.config.timeZone),
  afterWork: (deps: ReviewSource, past: Past) => afterWorkIn(deps.storage.history, past),
  together: (deps: ReviewSource, past: Past) => togetherIn(deps.storage.history, past),
}

type Makers = typeof makers
export type FigureName = keyof Makers
export type Figure<N extends FigureName> = ReturnType<Makers[N]>

/** One set of figures, from the cache or worked out. */
export function figure<N extends FigureName>(
  deps: ReviewSource,
  core: Core,
  asked: AskedWindow,
  name: N,
): Figure<N> {
  return cachedFigure(
    deps,
    keyOf(deps, asked, name),
    asAtMs => makers[name](deps, core.past, asAtMs, asked) as Figure<N>,
  )
}

/**
 * On the first page of a large depot only what is cached:
 * working out all of it would keep the reader waiting.
 */
export function figureIfQuick<N extends FigureName>(
  deps: ReviewSource,
  core: Core,
  asked: AskedWindow,
  name: N,
): Figure<N> | null {
  if (core.past.basis.n <= quickFaults) return figure(deps, core, asked, name)
  return figureIfCached<Figure<N>>(deps, keyOf(deps, asked, name))
}

export function placeName(past: Past, positionId: string): string {
  const position = past.byId.get(positionId)
  return position === undefined ? positionId : `${position.siteName}, ${position.name}`
}

/** Faults of the window; a tenth of a second for all figures of so many. */
const quickFaults = 5000

function keyOf(deps: ReviewSource, asked: AskedWindow, name: FigureName): string {
  const intervals = name === 'unseen' ? JSON.stringify([...deps.storage.visits.intervals()]) : ''
  return `${name} ${asked.query} ${intervals}`
}

function basisOf(deps: ReviewSource, past: Past): string {
  const at = deps.times.clock(new Date(past.asAtMs).toISOString())
  return `${basisWords(past.basis, deps.config.timeZone).replace(', n = ', `, ${at}, n = `)}.`
}
