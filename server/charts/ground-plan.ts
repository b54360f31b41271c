// What lies on the ground, to one scale: the cable from the case to the link box, and the two loops.

import { ticks } from 'd3-array'
import { scaleLinear } from 'd3-scale'
import { element, escaped } from './svg.ts'

/** Lengths in metres; what is not known is null and is left out of the drawing. */
export interface Ground {
  cable: number | null
  spacing: number | null
  /** Where the trigger loop may lie, from the arming loop; null where no range is given. */
  spacingRange: { min: number; max: number } | null
  about: 'cable' | 'spacing'
}

const left = 20
const right = 580
const rowHeight = 74

/** Empty when neither length is known. Both rows and the ruler have the same scale. */
export function groundPlan(ground: Ground): string {
  const lengths = [ground.cable, ground.spacing, ground.spacingRange?.max ?? null]
  const longest = Math.max(...lengths.filter(length => length !== null && length > 0).map(Number), 0)
  if (longest === 0) return ''
  const scale = scaleLinear([0, longest * 1.06], [left, right])
  const rows = [cableRow(ground, scale), loopRow(ground, scale)].filter(row => row !== null)
  const height = rows.length * rowHeight + 34
  return element(
    'svg',
    { class: 'ground-plan', viewBox: `0 0 600 ${height}`, role: 'img' },
    element('title', {}, escaped(told(ground))),
    ...rows.map((row, n) => element('g', { transform: `translate(0 ${n * rowHeight})` }, row)),
    ruler(scale, longest, rows.length * rowHeight),
  )
}

type Scale = (metres: number) => number

function cableRow({ cable, about }: Ground, scale: Scale): string | null {
  if (cable === null || cable <= 0) return null
  const end = scale(cable)
  const variant = about === 'cable' ? ' ground-line--about' : ''
  return [
    element('path', { class: `ground-line${variant}`, d: `M${left} 42H${end.toFixed(1)}` }),
    element('rect', { class: 'ground-case', x: left - 12, y: 28, width: 24, height: 28 }),
    element('circle', { class: 'ground-box', cx: end, cy: 42, r: 9 }),
    words(left - 12, 18, `case to link box, ${metres(cable)}`),
  ].join('')
}

function loopRow({ spacing, spacingRange, about }: Ground, scale: Scale): string | null {
  if (spacing === null || spacing <= 0) return null
  const variant = about === 'spacing' ? ' ground-loop--about' : ''
  const loop = (at: number) =>
    element('rect', { class: `ground-loop${variant}`, x: at - 7, y: 34, width: 14, height: 18, rx: 4 })
  const band =
    spacingRange &&
    element('rect', {
      class: 'range-band',
      x: scale(spacingRange.min),
      y: 26,
      height: 34,
      width: Math.max(2, scale(spacingRange.max) - scale(spacingRange.min)),
    })
  return [
    element('path', { class: 'ground-rail', d: `M0 28H600M0 58H600` }),
    band ?? '',
    loop(scale(0)),
    loop(scale(spacing)),
    words(left - 12, 18, `arming loop to trigger loop, ${metres(spacing)}`),
  ].join('')
}

function ruler(scale: Scale, longest: number, y: number): string {
  const marks = ticks(0, longest * 1.06, 6)
  const last = marks.at(-1) ?? 0
  return [
    element('path', { class: 'ground-ruler', d: `M${left} ${y + 4}H${scale(last).toFixed(1)}` }),
    ...marks.map(at =>
      [
        element('path', { class: 'ground-ruler', d: `M${scale(at).toFixed(1)} ${y}v9` }),
        words(scale(at), y + 28, at === last ? metres(at) : String(at), at === 0 ? 'start' : 'middle'),
      ].join(''),
    ),
  ].join('')
}

function words(x: number, y: number, text: string, anchor: 'start' | 'middle' = 'start'): string {
  return element('text', { x, y, 'text-anchor': anchor }, escaped(text))
}

function metres(length: number): string {
  return `${Number(length.toPrecision(4))} m`
}

function told({ cable, spacing, spacingRange }: Ground): string {
  const parts = [
    cable === null ? '' : `Cable from the case to the link box, ${metres(cable)}.`,
    spacing === null ? '' : `From the arming loop to the trigger loop on the plan, ${metres(spacing)}.`,
    spacingRange === null ? '' : `It may be ${metres(spacingRange.min)} to ${metres(spacingRange.max)}.`,
  ]
  return ['Drawn to scale.', ...parts].filter(Boolean).join(' ')
}
