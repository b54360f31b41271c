// The planted part of the history: what the statistics should find again.

import type { Check } from '../../knowledge/types.ts'
import { mayBeFitted } from '../../walk/fit.ts'
import type { DemoPosition } from '../railway/railway.ts'
import { keyOf, type Route, type Routes } from '../railway/routes.ts'
import {
  anyConditions,
  dressed,
  likelyRoute,
  type PlannedFault,
  type Planning,
  shortish,
} from './planning.ts'
import { wetSeason } from './truths.ts'
import { DAY, YEARS } from './years.ts'

const FAULTS_OF_A_FAILING_POSITION = 13
const READINGS_OF_A_DRIFTING_POSITION = 7

/** Three in four of the faults at a failing position are of one and the same cause. */
export function plantFailing(planning: Planning, ids: string[]): PlannedFault[] {
  const used = new Set<unknown>()
  return ids.flatMap(id => {
    const position = planning.byId.get(id)
    const usual = position ? distinctRoute(planning, position, used) : null
    if (!position || !usual) return []
    used.add(usual.cause)
    return evenly(planning, FAULTS_OF_A_FAILING_POSITION).flatMap(at => {
      const route = planning.random.chance(0.75) ? usual : likelyRoute(planning, position)
      return route ? [dressed(planning, position, route, at)] : []
    })
  })
}

/** The contact is in range at every visit, a little worse each time, and out of range at the last. */
export function plantDrift(planning: Planning, ids: string[]): PlannedFault[] {
  return ids.flatMap(id => {
    const position = planning.byId.get(id)
    const routes = position && planning.routes.get(position.equipment)
    const check = routes && driftCheck(routes)
    if (!position || !check) return []
    const times = evenly(planning, READINGS_OF_A_DRIFTING_POSITION)
    return times.flatMap((at, i) => {
      const last = i === times.length - 1
      const route = routeThrough(planning, routes, check, last ? 'out' : 'in')
      if (!route) return []
      const drift = { check, share: last ? 1 : i / times.length }
      return [dressed(planning, position, route, at, { ...calm, ending: 'proven cause', drift })]
    })
  })
}

/** The check whose reading creeps: a contact's resistance, else anything measured at a contact; the most travelled. */
export function driftCheck(routes: Routes): Check | null {
  const all = [...routes.toCauses.values()].flat().flatMap(route => route.path.map(step => step.check))
  const contacts = all.filter(check => check.does.kind === 'measure' && /contact/i.test(check.does.quantity))
  const resistances = contacts.filter(
    check => check.does.kind === 'measure' && /resistance/i.test(check.does.quantity),
  )
  return mostFrequent(resistances) ?? mostFrequent(contacts)
}

/** In one season the joint fails when it rains and is dry again when somebody comes; at last it is found. */
export function plantWet(planning: Planning, id: string): PlannedFault[] {
  const position = planning.byId.get(id)
  const routes = position && planning.routes.get(position.equipment)
  const wet = routes && wetRoute(planning, routes)
  if (!position || !wet) return []
  const { from, to } = wetSeason(planning.now)
  const step = (to.getTime() - from.getTime()) / 8
  return Array.from({ length: 8 }, (_, i) => {
    const found = i === 7
    const ending = found ? 'proven cause' : i % 3 === 2 ? 'not reproduced' : 'cleared itself'
    const at = from.getTime() + step * (i + planning.random.between(0.1, 0.8))
    const conditions = anyConditions(planning.random, at, planning.random.pick(['rain', 'heavy rain']))
    return dressed(planning, position, wet, at, { ...calm, ending, intermittent: true, conditions })
  })
}

/**
 * Each rogue unit fails where it stands, goes to the workshop, is fitted as a spare at another position and fails there
 * again: three moves each. The positions have to take the same variant.
 */
export function plantRogues(
  planning: Planning,
  serials: string[],
  positions: DemoPosition[],
  taken: Set<string>,
): PlannedFault[] {
  const used = new Set(taken)
  return serials.flatMap(serial => {
    const group = groupForRogue(planning, positions, used)
    if (!group) return []
    for (const position of group.positions) used.add(position.id)
    return travels(planning, serial, group.positions, group.route)
  })
}

/** Nothing else happens at these faults, so that what is planted stands out as planned. */
const calm = { decoy: null, departure: false, correction: false, protection: 'kept' } as const

function travels(
  planning: Planning,
  serial: string,
  positions: DemoPosition[],
  route: Route,
): PlannedFault[] {
  const { random } = planning
  let at = planning.from + random.between(60, 160) * DAY
  return positions.flatMap((position, i) => {
    const planned = { ...calm, ending: 'proven cause', handover: false } as const
    const faults: PlannedFault[] = []
    if (i === 0) {
      const kind = route.cause?.replace
      position.fitted = position.fitted.map(unit => (unit.kind === kind ? { ...unit, serial } : unit))
    } else {
      faults.push(dressed(planning, position, route, at, { ...planned, incoming: serial }))
      at += random.between(20, 70) * DAY
    }
    faults.push(dressed(planning, position, route, at, planned))
    at += random.between(40, 110) * DAY
    return faults
  })
}

/** Four untouched positions that take the same variant of the unit whose failure is the commonest. */
function groupForRogue(planning: Planning, positions: DemoPosition[], used: Set<string>) {
  const route = unitRoute(planning, positions)
  const kind = route?.cause?.replace
  if (!route || !kind) return null
  const groups = new Map<string, DemoPosition[]>()
  for (const position of positions) {
    const unit = position.fitted.find(fitted => fitted.kind === kind)
    if (!unit || used.has(position.id) || position.equipment !== route.tree.equipment) continue
    if (!fits(planning, position, kind, unit.variant)) continue
    groups.set(unit.variant, [...(groups.get(unit.variant) ?? []), position])
  }
  const largest = [...groups.values()].sort((a, b) => b.length - a.length)[0]
  if (!largest || largest.length < 4) return null
  return { route, positions: planning.random.shuffled(largest).slice(0, 4) }
}

function fits(planning: Planning, position: DemoPosition, kind: string, variant: string): boolean {
  const equipment = planning.knowledge.equipment.get(position.equipment)
  return equipment !== undefined && mayBeFitted(equipment, position.facts, kind, variant).ok
}

function unitRoute(planning: Planning, positions: DemoPosition[]): Route | null {
  const routes = planning.routes.get(positions[0]?.equipment ?? '')
  const causes = [...(routes?.toCauses.values() ?? [])].filter(ways => ways[0]?.cause?.replace)
  const commonest = causes.sort((a, b) => (b[0]?.cause?.share ?? 0) - (a[0]?.cause?.share ?? 0))[0]
  return commonest ? shortish(commonest, planning.random) : null
}

function distinctRoute(planning: Planning, position: DemoPosition, used: Set<unknown>): Route | null {
  for (let tries = 0; tries < 50; tries++) {
    const route = likelyRoute(planning, position)
    if (route && !used.has(route.cause)) return route
  }
  return likelyRoute(planning, position)
}

/** `in`: the check is passed on the way to a cause further on. `out`: it is what shows the cause. */
function routeThrough(planning: Planning, routes: Routes, check: Check, where: 'in' | 'out'): Route | null {
  const through = [...routes.toCauses.values()].flat().filter(route => {
    const step = route.path.find(one => keyOf(one.check) === keyOf(check))
    return step !== undefined && (step.row.match.kind === 'in range') === (where === 'in')
  })
  return through.length > 0 ? shortish(through, planning.random) : null
}

function wetRoute(planning: Planning, routes: Routes): Route | null {
  const ways = [...routes.toCauses.values()]
  const titled = (pattern: RegExp) => ways.find(routes => pattern.test(routes[0]?.cause?.title ?? ''))
  const wet = titled(/joint.*wet|wet.*joint/i) ?? titled(/\bwet\b|water/i)
  const ownTree = wet?.filter(route => /\bwet\b/i.test(route.tree.title)) ?? []
  if (ownTree.length > 0) return shortish(ownTree, planning.random)
  return wet ? shortish(wet, planning.random) : null
}

function mostFrequent(checks: Check[]): Check | null {
  const counts = new Map<Check, number>()
  for (const check of checks) counts.set(check, (counts.get(check) ?? 0) + 1)
  return [...counts].sort((a, b) => b[1] - a[1])[0]?.[0] ?? null
}

/** Times spread over the whole stretch, each a little off its even place. */
function evenly(planning: Planning, count: number): number[] {
  const length = (YEARS * 365 - 20) * DAY
  return Array.from(
    { length: count },
    (_, i) => planning.from + (length * (i + planning.random.between(0.1, 0.9))) / count,
  )
}
