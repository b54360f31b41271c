// The pages of the review, one for each question.

import { lastDigits, pileUp } from '../../../history/readings/reading-habits.ts'
import { attentionOf, clearedOf } from '../../../review/attention/attention.ts'
import { statesOf } from '../../../review/attention/position-state.ts'
import { apartUnits } from '../../../review/attention/weekly.ts'
import { causeCharts } from '../../../review/causes.ts'
import { type Core, coreOf, figure, figureIfQuick, placeName } from '../../../review/figures.ts'
import { namesOf } from '../../../review/names.ts'
import { funnelsOf } from '../../../review/offenders.ts'
import { spanWords } from '../../../review/span-words.ts'
import { trendPlot } from '../../../review/trends.ts'
import { askedWindow } from '../../../review/window.ts'
import { numberWords } from '../../../words.ts'
import type { Deps } from '../../deps.ts'
import { page } from '../../host/answer.ts'
import type { Request } from '../../host/request.ts'
import {
  notCausesWords,
  nothingBySite,
  nothingByTree,
  paretoCharts,
  restoringTable,
  scatterChart,
} from './causes-tables.ts'
import { figuresOf, mostFigures } from './chart-figures.ts'
import { funnelCharts, offendersTable, offenderWhys, repeatStats, repeatsTable } from './index-tables.ts'
import {
  digitsTable,
  driftPictures,
  driftsTable,
  kindTrendsTable,
  kindWhys,
  positionTrendsTable,
} from './trends-tables.ts'
import { carryingUnits, testedGoodTable } from './units-tables.ts'
import { seenWorkingTable, unseenKinds } from './unseen-tables.ts'
import { groupsTogether, soonAfterWorkTable, temperatureShown } from './when-tables.ts'

/** What every page of the review shows round its own figures. */
export function frame(deps: Deps, req: Request) {
  const asked = askedWindow(req.query, { times: deps.times, now: deps.clock() })
  const core = coreOf(deps, asked)
  const path = req.path
  return {
    asked,
    core,
    names: namesOf(deps),
    common: {
      desk: true,
      asked,
      path,
      basis: core.basis,
      spanWords: spanWords(core.past, core.behind),
      ...words(deps, core),
    },
  }
}

/** What needs attention first, repeats by rule, and who keeps failing. */
export const index = (deps: Deps) => (req: Request) => {
  const { asked, core, names, common } = frame(deps, req)
  const quick = <N extends Parameters<typeof figureIfQuick>[3]>(name: N) =>
    figureIfQuick(deps, core, asked, name)
  const reviews = deps.storage.reviews.listOpen()
  const found = {
    core,
    states: statesOf(deps, core, asked.query, { reviews, known: quick('lastWeek') }),
    apart: apartUnits(deps),
    reviews,
    today: deps.times.local(deps.clock().toISOString()).slice(0, 10),
    units: quick('units'),
    drifts: quick('drifts'),
    trends: quick('trends'),
    unseen: quick('unseen'),
    together: quick('together'),
  }
  return page('engineer/review/index', {
    ...common,
    title: 'Review',
    attention: attentionOf(found, names, asked.query, common.day),
    cleared: clearedOf(found, asked.query),
    noData: core.past.knownDays === 0,
    notLookedAt: found.units === null || found.drifts === null || found.trends === null,
    repeatStats: repeatStats(core.repeats),
    repeats: repeatsTable(core.repeats, common),
    compared: core.offenders.compared,
    offenders: offendersTable(core.offenders, common),
    offenderWhys: offenderWhys(core.offenders),
    funnels: funnelCharts(funnelsOf(core.past, names.kind)),
  })
}

export const causes = (deps: Deps) => (req: Request) => {
  const { asked, core, names, common } = frame(deps, req)
  const causes = figure(deps, core, asked, 'causes')
  const charts = causeCharts(causes, names.cause)
  return page('engineer/review/causes', {
    ...common,
    title: 'What goes wrong',
    causes,
    paretos: paretoCharts(charts),
    notCauses: notCausesWords(charts),
    scatter: scatterChart(charts, common),
    nothingByTree: nothingByTree(causes, common),
    nothingBySite: nothingBySite(causes),
    restoring: restoringTable(figure(deps, core, asked, 'restoring')),
  })
}

/** Season, temperature, work before, and positions that fail together. */
export const when = (deps: Deps) => (req: Request) => {
  const { asked, core, common } = frame(deps, req)
  return page('engineer/review/when', {
    ...common,
    title: 'When faults come',
    season: figure(deps, core, asked, 'season'),
    weather: figure(deps, core, asked, 'weather'),
    temperature: temperatureShown(figure(deps, core, asked, 'temperature'), common),
    afterWork: figure(deps, core, asked, 'afterWork'),
    soonAfterWork: soonAfterWorkTable(figure(deps, core, asked, 'afterWork'), common),
    together: figure(deps, core, asked, 'together'),
    groups: groupsTogether(figure(deps, core, asked, 'together')),
  })
}

export const units = (deps: Deps) => (req: Request) => {
  const { asked, core, common } = frame(deps, req)
  const units = figure(deps, core, asked, 'units')
  return page('engineer/review/units', {
    ...common,
    title: 'Units and what follows them',
    units,
    carrying: carryingUnits(units, common),
    testedGood: testedGoodTable(units),
  })
}

export const trends = (deps: Deps) => (req: Request) => {
  const { asked, core, names, common } = frame(deps, req)
  const trends = figure(deps, core, asked, 'trends')
  const drifts = figure(deps, core, asked, 'drifts')
  return page('engineer/review/trends', {
    ...common,
    title: 'Trends and drift',
    kindTrends: kindTrendsTable(trends, common),
    kindWhys: kindWhys(trends, common),
    plot: trendPlot(trends.kinds, names.kind),
    tested: trends.tested,
    positionTrends: positionTrendsTable(trends, common),
    looked: drifts.looked,
    drifts: driftsTable(drifts, common),
    pictures: driftPictures(drifts, common),
    steps: figure(deps, core, asked, 'steps'),
    digits: digitsTable(digitsOf(deps, core), common),
  })
}

export const unseen = (deps: Deps) => (req: Request) => {
  const { asked, core, common } = frame(deps, req)
  const unseen = figure(deps, core, asked, 'unseen')
  return page('engineer/review/unseen', {
    ...common,
    title: 'Failures nobody sees',
    kinds: unseenKinds(unseen, common),
    seenWorking: seenWorkingTable(unseen, common),
  })
}

function words(deps: Deps, core: Core) {
  const names = namesOf(deps)
  return {
    nameOf: names,
    place: (id: string) => placeName(core.past, id),
    figureWords: (value: number | string | null) =>
      typeof value === 'number' ? numberWords(value) : (value ?? '–'),
    figuresOf,
    mostFigures,
    day: (ms: number) => deps.times.day(new Date(ms).toISOString()).replaceAll(' ', '\u00a0'),
  }
}

/** Readings rounded, copied or nudged inside a limit, by check. */
function digitsOf(deps: Deps, core: Core) {
  const checks = deps.storage.history.readings.numbers(core.past.window.fromMs)
  return checks.flatMap(({ tree, check, readings, min, max }) => {
    const values = readings.map(reading => reading.value)
    const resolution = readings.reduce((least, reading) => Math.min(least, reading.resolution), Infinity)
    const limits = [
      ...(max === null ? [] : [{ value: max, side: 'max' as const }]),
      ...(min === null ? [] : [{ value: min, side: 'min' as const }]),
    ]
    const heaping = lastDigits(readings)
    const piles = limits.map(limit => pileUp(values, limit, resolution))
    const said = [heaping, ...piles].filter(one => one.value !== null)
    return said.length === 0 ? [] : [{ tree, check, n: readings.length, heaping, piles }]
  })
}
