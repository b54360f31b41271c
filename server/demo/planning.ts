// A planned fault before it is walked: where, when, what is wrong and how it ends.

import type { Knowledge } from '../knowledge/types.ts'
import type { FaultRecord } from '../walk/record.ts'
import type { DemoPosition } from './railway.ts'
import type { Random } from './random.ts'
import type { Route, Routes } from './routes.ts'

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
  /** How far a creeping contact has come, 0 to 1; null where none creeps. */
  drift: number | null
  /** Serial of the unit to go in, where it is not a new one. */
  incoming: string | null
  /** Findings after which it ends early; null leaves it to chance. */
  stopAfter: number | null
  handover: boolean
  correction: boolean
  departure: boolean
}

export const YEARS = 3
export const DAY = 86_400_000
export interface Planning {
  random: Random
  now: Date
  from: number
  knowledge: Knowledge
  byId: Map<string, DemoPosition>
  routes: Map<string, Routes>
}

/** By the authors' shares, a shorter way to the same cause being likelier. */
export function likelyRoute(planning: Planning, position: DemoPosition): Route | null {
  const causes = [...(planning.routes.get(position.equipment)?.toCauses.values() ?? [])]
  if (causes.length === 0) return null
  return shortish(
    planning.random.weighted(causes, routes => routes[0]?.cause?.share ?? 0),
    planning.random,
  )
}

export function shortish(routes: Route[], random: Random): Route {
  return random.weighted(routes, route => 1 / route.path.length ** 2)
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
  const routes = planning.routes.get(position.equipment)
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
    conditions: intermittent ? anyConditions(random) : [],
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
  return random.pick(['kept', 'kept', 'not known', 'lost'] as const)
}

const shares = { kept: 92, 'not known': 5, lost: 3 }

export function anyConditions(random: Random, weather?: string): FaultRecord['conditions'] {
  return [
    {
      name: 'time of day',
      value: random.pick(['early morning', 'forenoon', 'afternoon', 'evening', 'night']),
    },
    { name: 'weather', value: weather ?? random.pick(['dry', 'dry', 'overcast', 'rain', 'fog', 'frost']) },
    { name: 'temperature', value: `${random.whole(-3, 27)} °C` },
    { name: 'train passing', value: random.pick(['yes', 'no', 'no', 'not known']) },
    {
      name: 'how long it lasted',
      value: random.pick(['a few seconds', 'two minutes', 'about ten minutes', 'an hour']),
    },
  ]
}
