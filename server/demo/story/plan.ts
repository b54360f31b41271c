// What befalls the demo railway in three years: which fault, where and when. No walk yet.

import type { Knowledge } from '../../knowledge/types.ts'
import { createRandom } from '../../statistics/random.ts'
import type { DemoPosition, Railway } from '../railway/railway.ts'
import { routesOf } from '../railway/routes.ts'
import { dressed, likelyRoute, type PlannedFault, type Planning } from './planning.ts'
import { plantDrift, plantFailing, plantRogues, plantWet } from './planted.ts'
import { plantedTruths } from './truths.ts'
import { DAY, YEARS } from './years.ts'

const TOTAL = 350

/** About 350 faults, oldest first; at one position never two within four days. */
export function planFaults(seed: number, knowledge: Knowledge, railway: Railway, now: Date): PlannedFault[] {
  const planning: Planning = {
    random: createRandom(`${seed} plan`),
    now,
    from: now.getTime() - YEARS * 365 * DAY,
    knowledge,
    byId: new Map(railway.positions.map(position => [position.id, position])),
    routes: new Map([...knowledge.equipment.keys()].map(slug => [slug, routesOf(knowledge, slug)])),
    here: new Map(),
  }
  const truths = plantedTruths(seed)
  const taken = new Set([...truths.failing, ...truths.drifting, truths.wet])
  const rogues = plantRogues(planning, truths.rogueSerials, railway.positions, taken)
  for (const fault of rogues) taken.add(fault.positionId)
  const planted = [
    ...rogues,
    ...plantFailing(planning, truths.failing),
    ...plantDrift(planning, truths.drifting),
    ...plantWet(planning, truths.wet),
  ]
  const others = railway.positions.filter(position => !taken.has(position.id))
  const background = Array.from({ length: Math.max(0, TOTAL - planted.length) }, () =>
    anyFault(planning, planning.random.pick(others)),
  )
  return spaced([...planted, ...background.flatMap(fault => fault ?? [])], now)
}

/** A fault of a cause as likely as its author says, at any time; null where the equipment has no routes. */
function anyFault(planning: Planning, position: DemoPosition): PlannedFault | null {
  const { random } = planning
  const at = random.between(planning.from, planning.now.getTime() - 4 * DAY)
  const route = likelyRoute(planning, position)
  return route && dressed(planning, position, route, at)
}

/** Later faults at a position wait until the one before is surely closed; those that would lie ahead of now fall away. */
function spaced(faults: PlannedFault[], now: Date): PlannedFault[] {
  const lastAt = new Map<string, number>()
  return faults
    .sort((a, b) => a.at - b.at)
    .map(fault => {
      const at = Math.max(fault.at, (lastAt.get(fault.positionId) ?? 0) + 4 * DAY)
      lastAt.set(fault.positionId, at)
      return { ...fault, at }
    })
    .filter(fault => fault.at < now.getTime() - 3 * DAY)
    .sort((a, b) => a.at - b.at)
}
