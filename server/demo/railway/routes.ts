// The ways a walk can go: for a cause, what each check on the way to it shows.

import {
  findCauseByKey,
  findEnd,
  type Path,
  pathsTo,
  pathsToEnds,
  refKey,
  refOf,
} from '../../knowledge/graph.ts'
import { healthyRow } from '../../knowledge/healthy-row.ts'
import type { Cause, Check, FaultTree, Knowledge, Row } from '../../knowledge/types.ts'

export interface Route {
  tree: FaultTree
  path: Path
  /** Null for a route to an end without a cause. */
  cause: Cause | null
}

export interface Routes {
  /** By cause key; only causes that some fault tree reaches. */
  toCauses: Map<string, Route[]>
  toNothingFound: Route[]
  toPassOn: Route[]
}

/** The routes of one kind of equipment, through its fault trees. */
export function routesOf(knowledge: Knowledge, equipment: string): Routes {
  const routes: Routes = { toCauses: new Map(), toNothingFound: [], toPassOn: [] }
  for (const tree of knowledge.trees.values()) {
    if (tree.equipment !== equipment || tree.kind !== 'fault') continue
    addCauses(routes, knowledge, tree)
    addEnds(routes, knowledge, tree)
  }
  return routes
}

/** What each check on the route shows, by check key. */
export function shownOn(route: Route): Map<string, Row> {
  return new Map(route.path.map(({ check, row }) => [keyOf(check), row]))
}

export function keyOf(check: Check): string {
  return refKey(refOf(check))
}

/** What a check shows off every path: the healthy row, or the author's first where no row is plainly healthy. */
export function usualRow(check: Check): Row | null {
  return healthyRow(check) ?? check.rows[0] ?? null
}

function addCauses(routes: Routes, knowledge: Knowledge, tree: FaultTree): void {
  for (const [key, paths] of pathsTo(knowledge, tree)) {
    const cause = findCauseByKey(knowledge, key)
    if (!cause) continue
    const found = paths.filter(isPlain).map(path => ({ tree, path, cause }))
    if (found.length > 0) routes.toCauses.set(key, [...(routes.toCauses.get(key) ?? []), ...found])
  }
}

function addEnds(routes: Routes, knowledge: Knowledge, tree: FaultTree): void {
  for (const [key, paths] of pathsToEnds(knowledge, tree)) {
    const [slug = '', end = ''] = key.split('#')
    const means = findEnd(knowledge, { tree: slug, end })?.means
    const found = paths.filter(isPlain).map(path => ({ tree, path, cause: null }))
    if (means === 'no fault found') routes.toNothingFound.push(...healthiest(found))
    if (means === 'pass on') routes.toPassOn.push(...found)
  }
}

/** Those where every measurement is in range, if there are any: nothing found means nothing out of range. */
function healthiest(routes: Route[]): Route[] {
  const healthy = routes.filter(({ path }) =>
    path.every(({ check, row }) => check.does.kind === 'observe' || row === usualRow(check)),
  )
  return healthy.length > 0 ? healthy : routes
}

/** The demo's technicians can tell what they see. */
function isPlain(path: Path): boolean {
  return path.every(({ row }) => row.match.kind !== 'cannot tell')
}
