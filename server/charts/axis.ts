import type { ScaleContinuousNumeric, ScaleTime } from 'd3-scale'
import { edges, type Frame } from './chart.ts'
import { numberLabel, tickDate } from './labels.ts'
import { element, label, line } from './svg.ts'

type NumberScale = ScaleContinuousNumeric<number, number>

export interface AxisOptions {
  label: string
  ticks?: number
  /** What a tick says; the number itself when not given. */
  words?: (value: number) => string
}

/** Numbers along the bottom. */
export function bottomAxis(
  scale: NumberScale,
  frame: Frame,
  { label: name, ticks = 7, words = numberLabel }: AxisOptions,
): string {
  return bottom(
    readable(scale.ticks(ticks), scale).map(value => ({ at: scale(value), words: words(value) })),
    frame,
    name,
  )
}

/** Dates along the bottom. */
export function timeAxis(scale: ScaleTime<number, number>, frame: Frame, name: string, ticks = 7): string {
  return bottom(
    scale.ticks(ticks).map(tick => ({ at: scale(tick), words: tickDate(tick.getTime()) })),
    frame,
    name,
  )
}

/** Numbers up the left side, with grid lines across the plot. */
export function leftAxis(
  scale: NumberScale,
  frame: Frame,
  { label: name, ticks = 5, words = numberLabel }: AxisOptions,
): string {
  const { x0, x1, y0, y1 } = edges(frame)
  const marks = readable(scale.ticks(ticks), scale).flatMap(value => {
    const y = scale(value)
    return [line('chart-grid', x0, y, x1, y), label(x0 - 8, y + 4, words(value), { anchor: 'end' })]
  })
  const title = label(x0 - 8, y1 - 12, name, { anchor: x0 > 100 ? 'end' : 'start', variant: 'name' })
  return element(
    'g',
    {},
    ...marks,
    line('chart-axis', x0, y0, x0, y1),
    x0 > 100 ? title : label(4, y1 - 12, name, { variant: 'name' }),
  )
}

function bottom(ticks: { at: number; words: string }[], frame: Frame, name: string): string {
  const { x0, x1, y0 } = edges(frame)
  const marks = ticks.flatMap(({ at, words }) => [
    line('chart-axis', at, y0, at, y0 + 5),
    label(at, y0 + 19, words, { anchor: 'middle' }),
  ])
  const title = label((x0 + x1) / 2, y0 + 40, name, { anchor: 'middle', variant: 'name' })
  return element('g', {}, line('chart-axis', x0, y0, x1, y0), ...marks, title)
}

/** A log scale offers every step of each power; where they crowd, only 1, 2 and 5 are kept, then only 1. */
function readable(ticks: number[], scale: NumberScale): number[] {
  if (!('base' in scale) || ticks.length <= 8) return ticks
  const firstDigit = (value: number) => Math.round(value / 10 ** Math.floor(Math.log10(value) + 1e-9))
  const few = ticks.filter(value => [1, 2, 5].includes(firstDigit(value)))
  return few.length <= 10 ? few : ticks.filter(value => firstDigit(value) === 1)
}
