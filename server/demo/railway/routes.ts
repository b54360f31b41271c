// The ways a walk can go: for a cause, what each check on the way to it shows.

import { createObjectCache, memo } from '../../cache.ts'
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
  const all = routesIn(knowledge)
  const known = all.get(equipment) ?? makeRoutes(knowledge, equipment)
  all.set(equipment, known)
  return known
}

const routesIn = memo((_knowledge: Knowledge) => new Map<string, Routes>())

function makeRoutes(knowledge: Knowledge, equipment: string): Routes {
  const routes: Routes = { toCauses: new Map(), toNothingFound: [], toPassOn: [] }
  for (const tree of knowledge.trees.values()) {
    if (tree.equipment !== equipment || tree.kind !== 'fault') continue
    addCauses(routes, knowledge, tree)
    addEnds(routes, knowledge, tree)
  }
  return routes
}

/** Those that this position can go: at a train stop nobody finds the spacing of an overspeed pair. */
export function routesAt(routes: Routes, facts: Record<string, string>): Routes {
  const here = (all: Route[]) => all.filter(({ path }) => agreesWith(path, facts))
  const causes = [...routes.toCauses].map(([key, all]): [string, Route[]] => [key, here(all)])
  return {
    toCauses: new Map(causes.filter(([, all]) => all.length > 0)),
    toNothingFound: here(routes.toNothingFound),
    toPassOn: here(routes.toPassOn),
  }
}

/** Does the path find what is on record of the position, wherever it looks at one of its facts (“duty of the pair”)? */
export function agreesWith(path: Path, facts: Record<string, string>): boolean {
  const rowsOf = rowsBy(facts)
  return path.every(({ check, row }) => rowsOf(check)?.includes(row) ?? true)
}

/** The rows a check may show where these facts hold; null where it asks for none of them. Checks lie on many paths. */
const rowsBy = memo((facts: Record<string, string>) => {
  const rowsOf = createObjectCache<Check, Row[] | null>()
  return (check: Check) => rowsOf(check, () => rowsWith(check, facts))
})

function rowsWith({ does, rows }: Check, facts: Record<string, string>): Row[] | null {
  if (does.kind !== 'observe') return null
  const asked = Object.entries(facts).filter(([name]) => ` ${does.what} `.includes(` ${name} `))
  const named = asked
    .map(([, value]) => rows.filter(({ label }) => label.includes(value)))
    .filter(naming => naming.length > 0)
  return named.length === 0 ? null : rows.filter(row => named.every(naming => naming.includes(row)))
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
  for (const [key, paths] of pathsTo(knowledge, tree, MOST_LOOKED_AT)) {
    const cause = findCauseByKey(knowledge, key)
    if (!cause) continue
    const found = plainest(paths).map(path => ({ tree, path, cause }))
    if (found.length > 0) routes.toCauses.set(key, [...(routes.toCauses.get(key) ?? []), ...found])
  }
}

function addEnds(routes: Routes, knowledge: Knowledge, tree: FaultTree): void {
  for (const [key, paths] of pathsToEnds(knowledge, tree, MOST_LOOKED_AT)) {
    const [slug = '', end = ''] = key.split('#')
    const means = findEnd(knowledge, { tree: slug, end })?.means
    const found = plainest(paths).map(path => ({ tree, path, cause: null }))
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

/** So many are looked at, as most have something that could not be told, and so many kept. */
const MOST_LOOKED_AT = 256
const MOST_KEPT = 32

function plainest(paths: Path[]): Path[] {
  return paths.filter(isPlain).slice(0, MOST_KEPT)
}

/** The demo's technicians can tell what they see. */
export function isPlain(path: Path): boolean {
  return path.every(({ row }) => row.match.kind !== 'cannot tell')
}
