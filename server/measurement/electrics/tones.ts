// Which tone of a plan a measured frequency is, and how far it is from being taken for another.
//
// The plan is data given by the owner of the equipment: tones with their purpose and direction.

import { formatIn, formatQuantity } from '../readings/format.ts'
import { Impossible, needPositive } from '../readings/impossible.ts'

export interface Tone {
  name: string
  /** Hz. */
  frequency: number
  /** "normal" or "opposite": the running direction whose equipment sends it. */
  direction: string
  purpose: string
}

export interface NearestTone {
  tone: Tone
  /** Measured minus nominal, Hz. */
  off: number
  /** Hz still left before the next tone is as near: half the gap to it, less what it is off. */
  margin: number
  /** The next nearest, or null in a plan of one. */
  next: Tone | null
  /** "This looks like an opposite-direction unit", where the tone found belongs to the other direction. */
  warning: string | null
  because: string
}

/**
 * The tone nearest to a frequency in Hz. `direction` is the position's own; with it, a tone of the other
 * direction is warned of. Throws Impossible for an empty plan or a frequency that is none.
 */
export function nearestTone(frequency: number, plan: Tone[], direction: string | null = null): NearestTone {
  needPositive('frequency', frequency, formatQuantity(frequency, 'Hz'))
  const ordered = [...plan].sort((a, b) => distance(frequency, a) - distance(frequency, b))
  const [tone, next = null] = ordered
  if (!tone) throw new Impossible('There are no tones in the plan to compare with.')
  const off = frequency - tone.frequency
  const margin = next ? (distance(frequency, next) - distance(frequency, tone)) / 2 : Number.MAX_VALUE
  const strange = direction !== null && tone.direction !== direction
  return {
    tone,
    off,
    margin,
    next,
    warning: strange
      ? `This looks like an ${tone.direction}-direction unit: ${tone.purpose} of that direction is ${kilohertz(tone.frequency)}.`
      : null,
    because: becauseOf(frequency, tone, off, next, margin),
  }
}

function distance(frequency: number, tone: Tone): number {
  return Math.abs(frequency - tone.frequency)
}

function becauseOf(frequency: number, tone: Tone, off: number, next: Tone | null, margin: number): string {
  const apart = `${formatQuantity(Math.abs(off), 'Hz')} ${off < 0 ? 'below' : 'above'}`
  const near = off === 0 ? 'exactly' : apart
  const other =
    next?.purpose === next?.name && next && next.direction !== tone.direction
      ? ` of the ${next.direction} direction`
      : ''
  const rest = next ? `; ${formatQuantity(margin, 'Hz')} more and it could be ${next.name}${other}` : ''
  const purpose = tone.purpose === tone.name ? [] : [tone.purpose]
  return `${kilohertz(frequency)} is ${near} ${tone.name} (${[kilohertz(tone.frequency), ...purpose, `${tone.direction} direction`].join(', ')})${rest}.`
}

function kilohertz(frequency: number): string {
  return formatIn(frequency, 'Hz', 'kHz', 10)
}
