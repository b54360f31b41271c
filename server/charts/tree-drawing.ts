// A fault tree as a picture: each check a box with its rows,
// what a row ends at beside it, and a line to the next check.

import { element, escaped, label } from './svg.ts'
import { layoutTree, type PlacedCheck, type PlacedLine } from './tree-layout.ts'
import { besideGap, besideWidth, boxWidth, type DrawnCheck, lineHeight, type SizedRow } from './tree-shape.ts'

export interface TreePicture {
  svg: string
  width: number
  height: number
}

export interface DrawingOptions {
  /** The only one of its kind on the page. */
  id: string
  title: string
  /** 1 is as drawn; null fills the width of the page. */
  zoom?: number | null
}

/**
 * Draws the checks in the order given, the first being the
 * start. Nothing in it but geometry, words and links.
 */
export function drawTree(checks: DrawnCheck[], { id, title, zoom = 1 }: DrawingOptions): TreePicture {
  const { width, height, checks: placed, lines } = layoutTree(checks)
  const size = zoom === null ? { width: null, height: null } : { width: width * zoom, height: height * zoom }
  const svg = element(
    'svg',
    {
      xmlns: 'http://www.w3.org/2000/svg',
      class: 'tree-drawing',
      viewBox: `0 0 ${Math.ceil(width)} ${Math.ceil(height)}`,
      ...size,
      role: 'group',
      'aria-labelledby': `${id}-title ${id}-desc`,
    },
    element('title', { id: `${id}-title` }, escaped(title)),
    element('desc', { id: `${id}-desc` }, escaped(description(checks))),
    ...lines.filter(one => !one.row.taken).map(onward),
    ...lines.filter(one => one.row.taken).map(onward),
    ...placed.map(box),
  )
  return { svg, width, height }
}

function description(checks: DrawnCheck[]): string {
  const minutes = checks.reduce((sum, check) => sum + (check.minutes ?? 0), 0)
  const here = checks.find(check => check.state === 'here')
  const all = `${checks.length} ${checks.length === 1 ? 'check' : 'checks'}, ${minutes} minutes if all were done.`
  return here ? `${all} You are at ${here.title}.` : all
}

function box(check: PlacedCheck): string {
  const { x, y, height } = check
  const inside = [
    element('rect', { class: 'tree-box-ground', x, y, width: boxWidth, height, rx: 3 }),
    ...check.titleLines.map((line, n) =>
      label(x + 12, y + 24 + n * (lineHeight + 2), line, { variant: 'name' }),
    ),
    ...check.doesLines.map((line, n) =>
      label(x + 12, y + 24 + check.titleLines.length * (lineHeight + 2) + n * lineHeight - 2, line, {
        variant: 'soft',
      }),
    ),
    check.state === 'here' ? hereMark(x, y) : '',
  ]
  const head = check.href
    ? element('a', { href: check.href, 'data-line': check.line }, ...inside)
    : element('g', { 'data-line': check.line }, ...inside)
  return element(
    'g',
    { class: `tree-box tree-box--${check.state}` },
    head,
    ...check.rows.map(row => drawnRow(check, row)),
  )
}

/** An arrow at the box, so that the place is not told by colour alone. */
function hereMark(x: number, y: number): string {
  return element('path', {
    class: 'tree-here',
    d: `M${Math.round(x) - 20} ${Math.round(y) + 10}l16 12-16 12 4-12z`,
  })
}

function drawnRow({ x, y }: PlacedCheck, row: SizedRow): string {
  const top = y + row.top
  const middle = top + row.height / 2
  const variant = row.taken ? 'taken' : undefined
  const first = (lines: string[]) => middle - ((lines.length - 1) * lineHeight) / 2 + 5
  return [
    element('line', { class: 'tree-rule', x1: x, y1: top, x2: x + boxWidth, y2: top }),
    ...row.labelLines.map((words, n) =>
      label(x + 12, first(row.labelLines) + n * lineHeight, words, { variant }),
    ),
    row.besideLines.length > 0 ? beside(x + boxWidth, middle, row, first(row.besideLines)) : '',
  ].join('')
}

function beside(x: number, middle: number, row: SizedRow, first: number): string {
  const { target, besideLines, taken } = row
  const height = besideLines.length * lineHeight + 8
  const left = x + besideGap
  const shape = element('rect', {
    class: `tree-beside tree-beside--${target.kind.replace(' ', '-')}`,
    x: left,
    y: middle - height / 2,
    width: besideWidth,
    height,
    rx: target.kind === 'cause' ? height / 2 : 2,
  })
  const words = besideLines.map((line, n) =>
    label(left + besideWidth / 2, first + n * lineHeight, line, {
      anchor: 'middle',
      variant: taken ? 'taken' : undefined,
    }),
  )
  const full = element('title', {}, escaped(target.words))
  const drawn = element(target.href ? 'a' : 'g', { href: target.href }, full, shape, ...words)
  return element('path', { class: lineClass(taken), d: `M${num(x)} ${num(middle)}H${num(left)}` }) + drawn
}

function onward({ points, row }: PlacedLine): string {
  const d = points.map((point, n) => {
    const previous = points[n - 1]
    if (!previous) return `M${num(point.x)} ${num(point.y)}`
    if (previous.y === point.y) return `H${num(point.x)}`
    if (previous.x === point.x) return `V${num(point.y)}`
    const half = (previous.y + point.y) / 2
    return `C${num(previous.x)} ${num(half)} ${num(point.x)} ${num(half)} ${num(point.x)} ${num(point.y)}`
  })
  const { x, y } = points.at(-1) ?? { x: 0, y: 0 }
  const tip = element('path', {
    class: `${lineClass(row.taken)} tree-tip`,
    d: `M${num(x - 6)} ${num(y - 9)}l6 9 6-9`,
  })
  return element('path', { class: lineClass(row.taken), d: d.join('') }) + tip
}

function lineClass(taken: boolean): string {
  return taken ? 'tree-line tree-line--taken' : 'tree-line'
}

function num(value: number): number {
  return Math.round(value * 10) / 10
}
