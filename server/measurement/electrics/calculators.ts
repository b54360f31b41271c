// Sums a technician asks for outside a walk: the same functions as the limits use, with the working shown.
//
// Each throws Impossible, with a sentence for the page, where the numbers make no sense.

import { leadAdvice, withoutLeads } from '../readings/corrections.ts'
import { formatDigits, formatIn, formatQuantity } from '../readings/format.ts'
import { Impossible, needPositive } from '../readings/impossible.ts'
import type { Reading } from '../readings/reading.ts'
import { convert } from '../readings/units.ts'
import { COPPER_SOURCE, feederDrop, pairResistance } from './copper.ts'
import { type FuseKind, fuseUnderLoad } from './fuse.ts'
import { setSpeed, spacingFor } from './loop.ts'

export interface Calculation {
  value: number
  unit: string
  /** As shown: "2.325 Ω". */
  result: string
  /** The working, a line a step. */
  lines: string[]
  /** A word about what the result means, or null. */
  advice: string | null
  source: string
}

/** Resistance there and back of a twin cable: `length` m, `size` mm², `temperature` °C. */
export function loopResistance(input: {
  length: number
  size: number
  temperature: number
  coreClass?: string
}): Calculation {
  const pair = pairResistance(input.length, input.size, input.temperature, input.coreClass)
  const floor = formatQuantity(pair.floor, 'ohm')
  return {
    value: pair.greatest,
    unit: 'ohm',
    result: `at most ${formatQuantity(pair.greatest, 'ohm')}`,
    lines: [
      `${pair.working} = ${formatQuantity(pair.greatest, 'ohm')}`,
      `The copper alone, at 1 ÷ 58 Ω·mm²/m, has ${floor}.`,
    ],
    advice: `Below ${floor} suspect a short nearer than the loop; far above, a bad joint.`,
    source: COPPER_SOURCE,
  }
}

/** Volts at the end of a feeder, and lost on the way: `supply` V, `current` A, `length` m, `size` mm². */
export function voltDrop(input: {
  supply: number
  current: number
  length: number
  size: number
  temperature: number
  coreClass?: string
}): Calculation {
  needPositive('supply', input.supply, formatQuantity(input.supply, 'V'))
  if (!(input.current >= 0)) throw new Impossible('The current must be zero or more.')
  const drop = feederDrop(input.current, input.length, input.size, input.temperature, input.coreClass)
  const end = input.supply - drop.volts
  if (end < 0)
    throw new Impossible(
      `The feeder would lose ${formatQuantity(drop.volts, 'V')}, more than the supply: look at the current and the cable.`,
    )
  return {
    value: drop.volts,
    unit: 'V',
    result: `${formatQuantity(drop.volts, 'V')} lost, ${formatQuantity(end, 'V')} at the end`,
    lines: [
      `${drop.working} = ${formatQuantity(drop.volts, 'V')}`,
      `${formatQuantity(input.supply, 'V')} − ${formatQuantity(drop.volts, 'V')} = ${formatQuantity(end, 'V')}`,
      `That is ${formatDigits((100 * drop.volts) / input.supply, 3)}\u00a0% of the supply.`,
    ],
    advice: null,
    source: `${COPPER_SOURCE}; the greatest a sound cable may lose`,
  }
}

/** Set speed for a loop spacing in m and a timer in s, told in mph and km/h. */
export function speedOfSpacing(input: { spacing: number; timer: number }): Calculation {
  const speed = setSpeed(input.spacing, input.timer)
  return {
    value: speed,
    unit: 'm/s',
    result: speeds(speed),
    lines: [
      `${formatQuantity(input.spacing, 'm')} ÷ ${formatQuantity(input.timer, 's')} = ${formatQuantity(speed, 'm/s')}`,
      `${formatQuantity(speed, 'm/s')} = ${speeds(speed)}`,
    ],
    advice: 'Too short a spacing stops slow trains; too long lets fast ones by.',
    source: 'distance over time; 1 mph is 0.44704 m/s exactly',
  }
}

/** Loop spacing for a set speed in `unit` (mph, km/h or m/s) and a timer in s. */
export function spacingOfSpeed(input: { speed: number; unit: string; timer: number }): Calculation {
  const speed = convert(input.speed, input.unit, 'm/s')
  const spacing = spacingFor(speed, input.timer)
  return {
    value: spacing,
    unit: 'm',
    result: formatIn(spacing, 'm', 'm', 0.01),
    lines: [
      `${formatQuantity(input.speed, input.unit)} = ${formatQuantity(speed, 'm/s')}`,
      `${formatQuantity(speed, 'm/s')} × ${formatQuantity(input.timer, 's')} = ${formatIn(spacing, 'm', 'm', 0.01)}`,
    ],
    advice: 'Too short a spacing stops slow trains; too long lets fast ones by.',
    source: 'speed times time; 1 mph is 0.44704 m/s exactly',
  }
}

/** A two-wire resistance less the leads, ohm. `resolution` is one count of the meter. */
export function leadCorrection(input: { measured: number; leads: number; resolution: number }): Calculation {
  const measured: Extract<Reading, { kind: 'value' }> = {
    kind: 'value',
    value: input.measured,
    resolution: input.resolution,
    unit: 'ohm',
  }
  const { reading, working } = withoutLeads(measured, input.leads)
  const lost = reading.value < input.leads / 2
  return {
    value: reading.value,
    unit: 'ohm',
    result: formatIn(reading.value, 'ohm', 'ohm', input.resolution),
    lines: [working],
    advice:
      leadAdvice(input.leads) ??
      (lost ? 'The leads have more than what is left: use four wires, or the volt drop under load.' : null),
    source: 'leads shorted together, read, and subtracted (common practice, no published source)',
  }
}

/** A measured load against the fuse that feeds it, amperes. */
export function fuseCheck(input: { rating: number; load: number; kind: FuseKind }): Calculation {
  const judged = fuseUnderLoad(input.rating, input.load, input.kind)
  const { nonFusing, fusing, source } = judged.currents
  return {
    value: fusing,
    unit: 'A',
    result: judged.because,
    lines: [
      `${formatQuantity(input.rating, 'A')} × ${formatDigits(nonFusing / input.rating, 3)} = ${formatQuantity(nonFusing, 'A')} carried for ${hours(judged.currents.carries)}`,
      `${formatQuantity(input.rating, 'A')} × ${formatDigits(fusing / input.rating, 3)} = ${formatQuantity(fusing, 'A')} blows it within ${hours(judged.currents.blows)}`,
    ],
    advice: 'A blown fuse is a symptom: find what blew it before a new one counts as the repair.',
    source,
  }
}

function speeds(metresPerSecond: number): string {
  const mph = convert(metresPerSecond, 'm/s', 'mph')
  const kilometres = convert(metresPerSecond, 'm/s', 'km/h')
  return `${formatQuantity(Number(mph.toPrecision(4)), 'mph')} (${formatQuantity(Number(kilometres.toPrecision(4)), 'km/h')})`
}

function hours(seconds: number): string {
  if (seconds < 3600) return `${seconds / 60} minutes`
  return seconds === 3600 ? '1 hour' : `${seconds / 3600} hours`
}
