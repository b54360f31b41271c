import { Graph, layout } from '@dagrejs/dagre'
import {
  type DrawnCheck,
  type DrawnRow,
  laneWidth,
  type SizedCheck,
  type SizedRow,
  sized,
} from './tree-shape.ts'

export interface PlacedCheck extends SizedCheck {
  /** Left and top of the box itself. */
  x: number
  y: number
}

export interface Point {
  x: number
  y: number
}

export interface PlacedLine {
  row: SizedRow
  from: string
  to: string
  /**
   * From the row to the lane on the left, down past the box,
   * past each level between, to the top of the next box.
   */
  points: Point[]
}

export interface TreeLayout {
  width: number
  height: number
  checks: PlacedCheck[]
  lines: PlacedLine[]
}

/**
 * A line over more levels than this would cross half the
 * drawing: such a row names its check beside it instead.
 */
const longestLine = 4
/** Lines to checks that another line leads to already. */
const mostMeetings = 60
/** Above this many checks the quicker ways of laying out are taken. */
const many = 120
const margin = 24

/**
 * Places boxes level by level from the top down, the first
 * check first. Circles, as a draft may have, do no harm.
 */
export function layoutTree(checks: DrawnCheck[]): TreeLayout {
  const levels = levelsOf(checks)
  const chosen = linesToDraw(checks, levels)
  const boxes = checks.map(check => sized(check, row => !chosen.has(row)))
  const graph = new Graph({ multigraph: true })
  const ranker = checks.length > many ? 'longest-path' : 'tight-tree'
  graph.setGraph({
    rankdir: 'TB',
    ranker,
    nodesep: 34,
    edgesep: 18,
    ranksep: 64,
    marginx: margin,
    marginy: margin,
  })
  // The layout keeps its nodes in plain objects, where a check called “constructor” would do harm.
  const nodeOf = new Map(boxes.map((box, n) => [box.id, `n${n}`]))
  const node = (id: string) => nodeOf.get(id) ?? ''
  for (const box of boxes) graph.setNode(node(box.id), { width: box.fullWidth, height: box.height })
  const joined = boxes.flatMap(box =>
    box.rows.flatMap((row, n) => (row.besideLines.length === 0 ? [{ box, row, n }] : [])),
  )
  for (const { box, row, n } of joined) graph.setEdge(node(box.id), node(row.target.id), {}, String(n))
  layout(graph, { disableOptimalOrderHeuristic: checks.length > many })
  const at = (id: string) => graph.node(node(id))
  const bands = bandsOf(boxes.map(box => ({ middle: at(box.id)?.y ?? 0, height: box.height })))
  const placed = boxes.map(box => place(box, at(box.id), bands))
  const byId = new Map(placed.map(box => [box.id, box]))
  const lines = joined.flatMap(({ box, row, n }) => {
    const [from, to] = [byId.get(box.id), byId.get(row.target.id)]
    const bends: Point[] = graph.edge(node(box.id), node(row.target.id), String(n))?.points ?? []
    return from && to ? [{ row, from: from.id, to: to.id, points: turns(from, row, to, bends, bands) }] : []
  })
  const { width = 0, height = 0 } = graph.graph()
  return { width: Math.max(width, 60), height: Math.max(height, 60), checks: placed, lines }
}

/** A level of boxes: they all hang from its top. */
interface Band {
  middle: number
  top: number
  bottom: number
}

function bandsOf(boxes: { middle: number; height: number }[]): Band[] {
  const highest = new Map<number, number>()
  for (const { middle, height } of boxes) {
    const key = Math.round(middle)
    highest.set(key, Math.max(highest.get(key) ?? 0, height))
  }
  return [...highest].map(([middle, height]) => ({
    middle,
    top: middle - height / 2,
    bottom: middle + height / 2,
  }))
}

function bandAt(bands: Band[], y: number): Band | undefined {
  return bands.find(band => Math.abs(band.middle - y) < 2)
}

function place(box: SizedCheck, node: { x?: number; y?: number } | undefined, bands: Band[]): PlacedCheck {
  const { x = 0, y = 0 } = node ?? {}
  const top = bandAt(bands, y)?.top ?? y - box.height / 2
  return { ...box, x: x - box.fullWidth / 2 + box.lanes * laneWidth, y: top }
}

/**
 * The first row takes the lane farthest out, so that no line crosses that of a row below it. It goes down
 * past the whole level before it turns: a box beside may be taller.
 */
function turns(from: PlacedCheck, row: SizedRow, to: PlacedCheck, bends: Point[], bands: Band[]): Point[] {
  const onward = from.rows.filter(one => one.besideLines.length === 0)
  const lane = from.x - (onward.length - onward.indexOf(row)) * laneWidth
  const points = [
    { x: from.x, y: from.y + row.top + row.height / 2 },
    { x: lane, y: from.y + row.top + row.height / 2 },
    { x: lane, y: (bands.find(band => Math.abs(band.top - from.y) < 2)?.bottom ?? from.y + from.height) + 8 },
  ]
  for (const bend of bends) {
    const band = bandAt(bands, bend.y)
    if (!band || band.top <= from.y || band.top >= to.y) continue
    points.push({ x: bend.x, y: band.top - 8 }, { x: bend.x, y: band.bottom + 8 })
  }
  return [...points, { x: to.x + 40, y: to.y }]
}

/**
 * The rows that get a line: the first that leads to a check always, where it is not too far; the others while
 * there are not too many of them. So a picture stays readable, and no file can make it slow.
 */
function linesToDraw(checks: DrawnCheck[], levels: Map<string, number>): Set<DrawnRow> {
  const chosen = new Set<DrawnRow>()
  const reached = new Set<string>()
  let meetings = 0
  for (const check of checks) {
    for (const row of check.rows) {
      if (!isNear(levels, check.id, row)) continue
      const again = reached.has(row.target.id)
      if (again && meetings >= mostMeetings) continue
      if (again) meetings += 1
      reached.add(row.target.id)
      chosen.add(row)
    }
  }
  return chosen
}

function isNear(levels: Map<string, number>, from: string, { target }: DrawnRow): boolean {
  if (target.kind !== 'check') return false
  const [here, there] = [levels.get(from), levels.get(target.id)]
  if (here === undefined || there === undefined) return false
  return there > here && there - here <= longestLine
}

/** How far from the start each check lies, by the longest way; in a circle the way back does not count. */
function levelsOf(checks: DrawnCheck[]): Map<string, number> {
  const byId = new Map(checks.map(check => [check.id, check]))
  const order = startsLast(checks, byId).reverse()
  const place = new Map(order.map((id, n) => [id, n]))
  const levels = new Map(order.map(id => [id, 0]))
  for (const id of order) {
    for (const { target } of byId.get(id)?.rows ?? []) {
      const onward = target.kind === 'check' && (place.get(target.id) ?? -1) > (place.get(id) ?? 0)
      if (onward) levels.set(target.id, Math.max(levels.get(target.id) ?? 0, (levels.get(id) ?? 0) + 1))
    }
  }
  return levels
}

/** Each check after all that its rows lead to, the start last. Without recursion. */
function startsLast(checks: DrawnCheck[], byId: Map<string, DrawnCheck>): string[] {
  const order: string[] = []
  const met = new Set<string>()
  for (const root of [...checks].reverse()) {
    const trail = met.has(root.id) ? [] : [{ id: root.id, next: 0 }]
    met.add(root.id)
    for (let top = trail.at(-1); top; top = trail.at(-1)) {
      const target = byId.get(top.id)?.rows[top.next++]?.target
      if (target?.kind === 'check' && byId.has(target.id) && !met.has(target.id)) {
        met.add(target.id)
        trail.push({ id: target.id, next: 0 })
      } else if (!target) {
        order.push(top.id)
        trail.pop()
      }
    }
  }
  return order
}
