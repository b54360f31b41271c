// A planned fault before it is walked: where, when, what is wrong and how it ends.

import type { Check, FaultTree, Knowledge } from '../../knowledge/types.ts'
import { temperatureWords } from '../../measurement/readings/air-temperature.ts'
import type { Random } from '../../statistics/random.ts'
import type { FaultRecord } from '../../walk/record.ts'
import type { DemoPosition } from '../railway/railway.ts'
import { type Route, type Routes, routesAt } from '../railway/routes.ts'
import { notedTemperature, temperatureAt } from '../railway/weather.ts'

export type Ending =
  | 'proven cause'
  | 'probable cause'
  | 'cleared itself'
  | 'not reproduced'
  | 'not completed'
  | 'passed on'

export interface PlannedFault {
  positionId: string
  /** Milliseconds since 1970. */
  at: number
  route: Route
  /** Another cause is mended first, and its proof fails. */
  decoy: Route | null
  ending: Ending
  protection: FaultRecord['fault']['protection']
  intermittent: boolean
  conditions: FaultRecord['conditions']
  /** A contact that creeps, as the check sees it, and how far it has come, 0 to 1. */
  drift: { check: Check; share: number } | null
  /** Serial of the unit to go in, where it is not a new one. */
  incoming: string | null
  /** Findings after which it ends early; null leaves it to chance. */
  stopAfter: number | null
  handover: boolean
  correction: boolean
  departure: boolean
}

export interface Planning {
  random: Random
  now: Date
  from: number
  knowledge: Knowledge
  byId: Map<string, DemoPosition>
  routes: Map<string, Routes>
  /** Cache of the routes that agree with a position's duty. */
  here: Map<string, Routes>
}

/** A cause as likely as its author says, and a way to it. */
export function likelyRoute(planning: Planning, position: DemoPosition): Route | null {
  const causes = [...(routesHere(planning, position)?.toCauses.values() ?? [])]
  if (causes.length === 0) return null
  return shortish(
    planning.random.weighted(causes, routes => routes[0]?.cause?.share ?? 0),
    planning.random,
  )
}

/** The routes of the position's kind that agree with its facts; looked through once for each duty. */
export function routesHere({ routes, here }: Planning, position: DemoPosition): Routes | undefined {
  const all = routes.get(position.equipment)
  if (!all) return undefined
  const key = `${position.equipment} ${position.facts.duty ?? ''}`
  const known = here.get(key) ?? routesAt(all, position.facts)
  here.set(key, known)
  return known
}

/** The tree that gets there soonest is the likeliest, and of its ways the shortest. */
export function shortish(routes: Route[], random: Random): Route {
  const shortest = new Map<FaultTree, number>()
  for (const { tree, path } of routes)
    shortest.set(tree, Math.min(path.length, shortest.get(tree) ?? path.length))
  const [tree] = random.weighted([...shortest], ([, length]) => 1 / length ** 2)
  const within = routes.filter(route => route.tree === tree)
  return random.weighted(within, route => 1 / route.path.length ** 2)
}

/** A planned fault with the ordinary mix of endings and mishaps. */
export function dressed(
  planning: Planning,
  position: DemoPosition,
  route: Route,
  at: number,
  fixed: Partial<PlannedFault> = {},
): PlannedFault {
  const { random } = planning
  const routes = routesHere(planning, position)
  const ending = fixed.ending ?? anyEnding(routes, random)
  const intermittent = ending === 'cleared itself' || random.chance(0.12)
  return {
    positionId: position.id,
    at,
    route: routeFor(ending, route, routes, random),
    decoy: ending === 'proven cause' && random.chance(0.07) ? decoyFor(route, routes, random) : null,
    ending,
    protection: anyProtection(position, random),
    intermittent,
    conditions: intermittent ? anyConditions(random, at) : anyTemperature(at),
    drift: null,
    incoming: null,
    stopAfter: null,
    handover: random.chance(0.1),
    correction: random.chance(0.09),
    departure: random.chance(0.08),
    ...fixed,
  }
}

const endings: [Ending, number][] = [
  ['proven cause', 76],
  ['probable cause', 6],
  ['cleared itself', 7],
  ['not reproduced', 5],
  ['not completed', 2],
  ['passed on', 4],
]

function anyEnding(routes: Routes | undefined, random: Random): Ending {
  const possible = endings.filter(([ending]) => {
    if (ending === 'passed on') return (routes?.toPassOn.length ?? 0) > 0
    return ending !== 'not reproduced' || (routes?.toNothingFound.length ?? 0) > 0
  })
  return random.weighted(possible, ([, share]) => share)[0]
}

function routeFor(ending: Ending, route: Route, routes: Routes | undefined, random: Random): Route {
  const nothing = routes?.toNothingFound ?? []
  if ((ending === 'cleared itself' || ending === 'not reproduced') && nothing.length > 0) {
    const sameSymptom = nothing.filter(other => other.tree === route.tree)
    return shortish(sameSymptom.length > 0 ? sameSymptom : nothing, random)
  }
  const passOn = routes?.toPassOn ?? []
  return ending === 'passed on' && passOn.length > 0 ? shortish(passOn, random) : route
}

/** Another cause that the same tree leads to, to be taken for the true one at first. */
function decoyFor(route: Route, routes: Routes | undefined, random: Random): Route | null {
  const others = [...(routes?.toCauses.values() ?? [])]
    .flat()
    .filter(other => other.tree === route.tree && other.cause !== route.cause && !other.cause?.replace)
  return others.length > 0 ? shortish(others, random) : null
}

function anyProtection(position: DemoPosition, random: Random): PlannedFault['protection'] {
  if (position.indicated) return random.weighted(['kept', 'not known', 'lost'] as const, word => shares[word])
  return random.pick(['kept', 'kept', 'kept', 'kept', 'not known', 'lost'] as const)
}

const shares = { kept: 92, 'not known': 5, lost: 3 }

/** As noted at the time `at`. */
export function anyConditions(random: Random, at: number, weather?: string): FaultRecord['conditions'] {
  const degrees = temperatureAt(at) + random.between(-1, 1)
  return [
    {
      name: 'time of day',
      value: random.pick(['early morning', 'forenoon', 'afternoon', 'evening', 'night']),
    },
    { name: 'weather', value: weather ?? random.pick(['dry', 'dry', 'overcast', 'rain', 'fog', 'frost']) },
    { name: 'temperature', value: temperatureWords(Math.round(degrees)) },
    { name: 'train passing', value: random.pick(['yes', 'no', 'no', 'not known']) },
    {
      name: 'how long it lasted',
      value: random.pick(['a few seconds', 'two minutes', 'about ten minutes', 'an hour']),
    },
  ]
}

/** At most faults somebody looks at the thermometer. */
function anyTemperature(at: number): FaultRecord['conditions'] {
  const degrees = notedTemperature(at)
  return degrees === null ? [] : [{ name: 'temperature', value: temperatureWords(degrees) }]
}
