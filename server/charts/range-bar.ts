import { scaleLinear } from 'd3-scale'
import { escaped } from './svg.ts'

/** The expected range, in any one unit; an open side is null. */
export interface BarRange {
  min: number | null
  max: number | null
}

/** Where the reading falls: a number, two numbers it wandered between, or words for what has no number. */
export interface BarReading {
  low: number | null
  high: number | null
  /** "96.4 V", "open" */
  label: string
  /** Half-width of what the instrument may be off by, same unit; 0 when not known. */
  unsure: number
  /** Which end to stand at when there is no number. */
  off: 'low' | 'high' | null
}

const left = 24
const right = 576
const line = 70

/**
 * The expected range as a bar with the reading falling on it. `format` writes a value with its unit. A range
 * with neither side gives an empty text.
 */
export function rangeBar(
  range: BarRange,
  reading: BarReading | null,
  format: (value: number) => string,
): string {
  if (range.min === null && range.max === null) return ''
  const scale = scaleLinear(domainOf(range, reading), [left, right]).clamp(true)
  const from = range.min === null ? left : scale(range.min)
  const to = range.max === null ? right : scale(range.max)
  const title = reading
    ? `${reading.label}, expected ${describe(range, format)}`
    : `Expected ${describe(range, format)}`
  return [
    // Without a reading there is no room for its label.
    `<svg class="range-bar" viewBox="0 ${reading ? '0 600 106' : '28 600 78'}" role="img">`,
    `<title>${escaped(title)}</title>`,
    `<rect class="range-band" x="${round(from)}" y="40" width="${round(Math.max(2, to - from))}" height="30"/>`,
    `<path class="range-axis" d="M${left} ${line}H${right}"/>`,
    ...limits(range, scale, format),
    reading ? pointer(reading, scale) : '',
    '</svg>',
  ].join('')
}

/** As rangeBar, small enough for a line of a table and without words: the row beside it has them. */
export function smallRangeBar(range: BarRange, reading: BarReading): string {
  if (range.min === null && range.max === null) return ''
  const scale = scaleLinear(domainOf(range, reading), [2, 118]).clamp(true)
  const from = range.min === null ? 2 : scale(range.min)
  const to = range.max === null ? 118 : scale(range.max)
  const { low, high, off } = reading
  const x = low === null || high === null ? (off === 'low' ? 2 : 118) : scale((low + high) / 2)
  return [
    '<svg class="range-bar range-bar--small" viewBox="0 0 120 20" width="120" height="20" aria-hidden="true">',
    `<rect class="range-band" x="${round(from)}" y="5" width="${round(Math.max(2, to - from))}" height="11"/>`,
    '<path class="range-axis" d="M0 16H120"/>',
    `<path class="range-reading" d="M${round(x)} 15l-5-12h10z"/>`,
    '</svg>',
  ].join('')
}

/** The range and the reading with room on both sides; a lone limit sits two thirds along. */
function domainOf({ min, max }: BarRange, reading: BarReading | null): [number, number] {
  const values = [min, max, reading?.low ?? null, reading?.high ?? null].filter(value => value !== null)
  const low = Math.min(...values)
  const high = Math.max(...values)
  const width = high - low || Math.abs(high) || 1
  if (min === null) return [Math.min(0, low), high + width / 2]
  if (max === null) return [Math.min(0, low), high + width / 2]
  return [low - width / 2, high + width / 2]
}

type Scale = (value: number) => number

/** Labels lean outwards when the two limits stand close together. */
function limits({ min, max }: BarRange, scale: Scale, format: (value: number) => string): string[] {
  const close = min !== null && max !== null && scale(max) - scale(min) < 150
  const mark = (value: number, anchor: string) => {
    const x = round(scale(value))
    return [
      `<path class="range-limit" d="M${x} 32V${line}"/>`,
      `<text x="${x}" y="98" text-anchor="${anchor}">${escaped(format(value))}</text>`,
    ].join('')
  }
  return [
    min === null ? '' : mark(min, close ? 'end' : 'middle'),
    max === null ? '' : mark(max, close ? 'start' : 'middle'),
  ]
}

function pointer({ low, high, label, unsure, off }: BarReading, scale: Scale): string {
  const x = low === null || high === null ? (off === 'low' ? left : right) : scale((low + high) / 2)
  const from = low === null ? x : scale(low - unsure)
  const to = high === null ? x : scale(high + unsure)
  const anchor = x < 90 ? 'start' : x > 510 ? 'end' : 'middle'
  const spread =
    to - from > 1
      ? `<path class="range-unsure" d="M${round(from)} 55H${round(to)}M${round(from)} 48v14M${round(to)} 48v14"/>`
      : ''
  const at = round(x)
  return [
    spread,
    `<path class="range-reading" d="M${at} 68l-9-22h18z"/>`,
    `<text class="range-reading-label" x="${at}" y="28" text-anchor="${anchor}">${escaped(label)}</text>`,
  ].join('')
}

function describe({ min, max }: BarRange, format: (value: number) => string): string {
  if (min === null) return `at most ${format(max ?? 0)}`
  if (max === null) return `at least ${format(min)}`
  return `${format(min)} to ${format(max)}`
}

function round(value: number): number {
  return Math.round(value * 100) / 100
}
