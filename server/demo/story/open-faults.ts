// What waits on the first morning: a fresh report, one half walked, one under evidence hold, one that cleared itself.

import type { Knowledge } from '../../knowledge/types.ts'
import { createRandom, type Random } from '../../statistics/random.ts'
import { technicians } from '../railway/people.ts'
import type { DemoPosition, Railway } from '../railway/railway.ts'
import { type Route, type Routes, routesAt, routesOf } from '../railway/routes.ts'
import { type PlannedFault, shortish } from './planning.ts'
import { attend, report, type SceneMaker, type Story } from './story.ts'
import { tell, tellUntil } from './telling.ts'

const MINUTE = 60_000

interface Setting {
  seed: number
  now: Date
  knowledge: Knowledge
  railway: Railway
  /** Faults of the past, so that no position has two at once. */
  planned: PlannedFault[]
}

export type OpenFault = (scene: SceneMaker, number: number) => Story

/** Each at a position of its own that has had no fault for a month. */
export function openFaults(setting: Setting): OpenFault[] {
  const random = createRandom(`${setting.seed} open`)
  const [first, second, third, fourth] = quietPositions(setting, random)
  if (!first || !second || !third || !fourth) return []
  const routes = (position: DemoPosition) =>
    routesAt(routesOf(setting.knowledge, position.equipment), position.facts)
  const minutesAgo = (minutes: number) => setting.now.getTime() - minutes * MINUTE
  return [
    clearedItself(third, anyRoute(routes(third), random, true), minutesAgo(30 * 60)),
    underHold(fourth, longRoute(routes(fourth), random), minutesAgo(110)),
    halfWalked(second, longRoute(routes(second), random), minutesAgo(75)),
    fresh(first, anyRoute(routes(first), random, false), minutesAgo(12)),
  ]
}

function fresh(position: DemoPosition, route: Route, at: number): OpenFault {
  return (scene, number) => report(scene(plain(position, route, at), number))
}

function halfWalked(position: DemoPosition, route: Route, at: number): OpenFault {
  return (scene, number) => {
    const story = report(scene(plain(position, route, at), number))
    story.person = technicians[0] ?? story.person
    attend(story, 20)
    tellUntil(story, stage => stage.kind !== 'check' || story.record.findings.length >= 3)
    return story
  }
}

function underHold(position: DemoPosition, route: Route, at: number): OpenFault {
  return (scene, number) => {
    const story = report(scene({ ...plain(position, route, at), protection: 'lost' }, number))
    story.person = technicians[1] ?? story.person
    attend(story, 20)
    tellUntil(story, stage => stage.kind === 'held')
    return story
  }
}

function clearedItself(position: DemoPosition, route: Route, at: number): OpenFault {
  const conditions = [
    { name: 'weather', value: 'rain' },
    { name: 'how long it lasted', value: 'about ten minutes' },
  ]
  const planned = {
    ...plain(position, route, at),
    ending: 'cleared itself' as const,
    intermittent: true,
    conditions,
  }
  return (scene, number) => tell(scene({ ...planned, stopAfter: 2 }, number))
}

function plain(position: DemoPosition, route: Route, at: number): PlannedFault {
  return {
    positionId: position.id,
    at,
    route,
    decoy: null,
    ending: 'proven cause',
    protection: 'kept',
    intermittent: false,
    conditions: [],
    drift: null,
    incoming: null,
    stopAfter: null,
    handover: false,
    correction: false,
    departure: false,
  }
}

function quietPositions({ railway, planned, now }: Setting, random: Random): DemoPosition[] {
  const month = now.getTime() - 30 * 24 * 60 * MINUTE
  const busy = new Set(planned.filter(fault => fault.at > month).map(fault => fault.positionId))
  return random.shuffled(railway.positions.filter(position => !busy.has(position.id))).slice(0, 4)
}

function anyRoute(routes: Routes, random: Random, healthy: boolean): Route {
  const nothing = healthy ? routes.toNothingFound : []
  return shortish(nothing.length > 0 ? nothing : [...routes.toCauses.values()].flat(), random)
}

/** A way of several checks, so that there is something left to walk. */
function longRoute(routes: Routes, random: Random): Route {
  const all = [...routes.toCauses.values()].flat()
  const long = all.filter(route => route.path.length >= 5)
  return shortish(long.length > 0 ? long : all, random)
}
