import { Graph, layout } from '@dagrejs/dagre'
import {
  boxWidth,
  type DrawnCheck,
  type DrawnRow,
  fullWidth,
  type SizedCheck,
  type SizedRow,
  sized,
} from './tree-shape.ts'

export interface PlacedCheck extends SizedCheck {
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
  /** Turning points, from the row to the box it leads to; each level is crossed from one side to the other. */
  points: Point[]
}

export interface TreeLayout {
  width: number
  height: number
  checks: PlacedCheck[]
  lines: PlacedLine[]
}

/** A line over more levels than this would cross half the drawing: such a row names its check beside it instead. */
const longestLine = 4
/** Above this many checks the quicker ways of laying out are taken. */
const many = 120
const margin = 24

/** Places boxes level by level from left to right, the first check first. Circles, as a draft may have, do no harm. */
export function layoutTree(checks: DrawnCheck[]): TreeLayout {
  const levels = levelsOf(checks)
  const drawn = (from: string, row: DrawnRow) => isDrawn(levels, from, row)
  const boxes = checks.map(check => sized(check, row => !drawn(check.id, row)))
  const graph = new Graph({ multigraph: true })
  const ranker = checks.length > many ? 'longest-path' : 'tight-tree'
  graph.setGraph({
    rankdir: 'LR',
    ranker,
    nodesep: 26,
    edgesep: 12,
    ranksep: 72,
    marginx: margin,
    marginy: margin,
  })
  for (const box of boxes) graph.setNode(box.id, { width: fullWidth, height: box.height })
  const joined = boxes.flatMap(box =>
    box.rows.flatMap((row, at) => (drawn(box.id, row) ? [{ box, row, at }] : [])),
  )
  for (const { box, row, at } of joined) graph.setEdge(box.id, row.target.id, {}, String(at))
  layout(graph, { disableOptimalOrderHeuristic: checks.length > many })
  const placed = boxes.map(box => {
    const { x, y } = at(graph.node(box.id))
    return { ...box, x: x - fullWidth / 2, y: y - box.height / 2 }
  })
  const byId = new Map(placed.map(box => [box.id, box]))
  const columns = [...new Set(placed.map(box => Math.round(box.x)))]
  const lines = joined.flatMap(({ box, row, at: n }) => {
    const [from, to] = [byId.get(box.id), byId.get(row.target.id)]
    const points: Point[] = graph.edge(box.id, row.target.id, String(n))?.points ?? []
    return from && to
      ? [{ row, from: from.id, to: to.id, points: turns(from, row, to, points, columns) }]
      : []
  })
  const { width = 0, height = 0 } = graph.graph()
  return { width: Math.max(width, fullWidth), height: Math.max(height, 60), checks: placed, lines }
}

function at(node: { x?: number; y?: number } | undefined): Point {
  return { x: node?.x ?? 0, y: node?.y ?? 0 }
}

function turns(
  from: PlacedCheck,
  row: SizedRow,
  to: PlacedCheck,
  bends: Point[],
  columns: number[],
): Point[] {
  const start = from.y + row.top + row.height / 2
  const points = [
    { x: from.x + boxWidth, y: start },
    { x: from.x + fullWidth, y: start },
  ]
  for (const bend of bends) {
    const left = bend.x - fullWidth / 2
    const between = left > from.x + 1 && left < to.x - 1
    if (!between || !columns.some(column => Math.abs(column - left) < 2)) continue
    points.push({ x: left, y: bend.y }, { x: left + fullWidth, y: bend.y })
  }
  return [...points, { x: to.x, y: to.y + 22 }]
}

function isDrawn(levels: Map<string, number>, from: string, { target }: DrawnRow): boolean {
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
