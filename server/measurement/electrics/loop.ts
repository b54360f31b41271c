// Loops in the four-foot: inductance of a rectangle of wire, and the speed a pair of loops is set for.

import { formatQuantity } from '../readings/format.ts'
import { Impossible, needPositive } from '../readings/impossible.ts'

const MAGNETIC_CONSTANT = 4e-7 * Math.PI

/**
 * Inductance in henry of one turn, `length` by `width` metres, of round wire of `radius`
 * metres, with the current on the wire's surface as it is at high frequency. Source: the
 * textbook formula for a rectangle (value from memory; for a square it agrees with
 * Grover's). `inside` is 0 for surface current, ½ for current spread evenly.
 */
export function loopInductance(length: number, width: number, radius: number, inside = 0): number {
  needPositive('loop length', length, formatQuantity(length, 'm'))
  needPositive('loop width', width, formatQuantity(width, 'm'))
  needPositive('wire radius', radius, formatQuantity(radius, 'm'))
  if (radius > Math.min(length, width) / 10)
    throw new Impossible(`The wire radius, ${formatQuantity(radius, 'm')}, is too large for the loop.`)
  const diagonal = Math.hypot(length, width)
  const sides =
    length * Math.log((2 * length) / radius) +
    width * Math.log((2 * width) / radius) +
    2 * diagonal -
    length * Math.asinh(length / width) -
    width * Math.asinh(width / length) -
    (2 - inside / 2) * (length + width)
  return (MAGNETIC_CONSTANT / Math.PI) * sides
}

/** 2π × frequency × inductance, ohm. */
export function reactance(inductance: number, frequency: number): number {
  return 2 * Math.PI * frequency * inductance
}

/** Speed in m/s at which a train just takes `timer` seconds over `spacing` metres. */
export function setSpeed(spacing: number, timer: number): number {
  needPositive('loop spacing', spacing, formatQuantity(spacing, 'm'))
  needPositive('timer value', timer, formatQuantity(timer, 's'))
  return spacing / timer
}

/** Metres between the loops for a set speed in m/s and a timer in seconds. */
export function spacingFor(speed: number, timer: number): number {
  needPositive('set speed', speed, formatQuantity(speed, 'm/s'))
  needPositive('timer value', timer, formatQuantity(timer, 's'))
  return speed * timer
}
