// Where a check puts the probes, with which function of which instrument, and what is typed of what it shows.

import {
  frequencyAt,
  type Instrument,
  ITSELF,
  type MeterFunction,
  reading,
  type Shown,
  toneOver,
} from '../circuit/meters.ts'
import { EARTH } from '../circuit/network.ts'
import type { State, World } from '../circuit/world.ts'
import type { Check, Measures } from '../knowledge/types.ts'
import { fromBase, getUnit } from '../measurement/readings/units.ts'
import type { Chance } from './chance.ts'
import { plannedSpacing } from './positions.ts'

/** What was read, in the base unit of the check; `live`: an ohmmeter on a circuit that is not dead. */
export type Taken = { kind: 'value'; value: number; resolution: number } | { kind: 'over' } | { kind: 'live' }

/** Accuracies of common instruments: assumed, after the examples of instrument makers' specifications. */
const METERS: Record<MeterFunction, Instrument> = {
  'volts AC': { function: 'volts AC', percent: 1, counts: 3, resolution: 0.1, range: 750 },
  'volts DC': { function: 'volts DC', percent: 0.5, counts: 2, resolution: 0.01, range: 600 },
  ohms: { function: 'ohms', percent: 1, counts: 2, resolution: 0.01, range: 5e7, leads: 0.02 },
  'four-wire ohms': { function: 'four-wire ohms', percent: 1, counts: 2, resolution: 0.001, range: 2e4 },
  insulation: { function: 'insulation', percent: 5, counts: 2, resolution: 1e3, range: 2e8 },
  'mains clamp': { function: 'mains clamp', percent: 2, counts: 3, resolution: 0.01, range: 400 },
  'direct clamp': { function: 'direct clamp', percent: 2, counts: 3, resolution: 0.001, range: 20 },
  'tone clamp': { function: 'tone clamp', percent: 3, counts: 2, resolution: 0.01, range: 10 },
  'tone frequency': { function: 'tone frequency', percent: 0.005, counts: 1, resolution: 10, range: 1e6 },
}
const MILLIVOLTS: Instrument = { ...METERS['volts DC'], resolution: 0.001, range: 6 }

const LINE_TERMINALS = ['A1', 'A2', 'T1', 'T2']
const BOX_ENDS = ['LA1', 'LA2', 'LT1', 'LT2']

/** Measurements whose words tell more than their terminals do. */
const PLACES: [RegExp, [string, string]][] = [
  [/between the line terminals/i, ['L1', 'L2']],
  [/between the busbars/i, ['B1', 'N1']],
  [/coil of the repeater|repeater coil/i, ['R1', 'R0']],
  [/contact in the lamp circuit/i, ['LK1', 'LK2']],
  [/contact of the drive relay/i, ['J1', 'J2']],
  [/lamp terminals|red lamp/i, ['G1', 'G2']],
  [/feeder cores, looped/i, ['U1', 'U2']],
]

/** Accuracies in place of the usual ones: those of the instrument in hand. */
export type OwnMeter = (usual: Instrument) => Instrument

/** The measurement of a check, taken with an instrument's own error. Null where nobody could say where to measure. */
export function take(
  check: Check,
  world: World,
  state: State,
  chance: Chance,
  own: OwnMeter = usual => usual,
): Taken | null {
  const { does } = check
  if (does.kind !== 'measure') return null
  const unit = getUnit(does.unit).base
  if (unit === 'm') return value(tape(check, world, chance), 0.001)
  if (unit === 'Hz') return frequency(check, does, world, state, chance)
  const words = `${check.title}. ${does.quantity}. ${check.instruction}`
  if (/feeder drop|lost along the feeder/i.test(words) && does.between.length === 0)
    return feederDrop(world, state, chance)
  const pairs = pairsOf(does, words)
  const readings = pairs.map(pair =>
    one(own(METERS[functionOf(check, does, pair)]), world, pair, state, chance),
  )
  const shown = /enter the higher|highest/i.test(words) ? highest(readings) : lowest(readings)
  return readings.length === 0 ? null : lessCore(shown, world, words)
}

/** A core of the cable and a lead are in the way round; the sum for the core is made from the record. */
function lessCore(shown: Taken, { site }: World, words: string): Taken {
  if (shown.kind !== 'value' || !/subtract the lead and one core/i.test(words)) return shown
  const core = (NOMINAL * site.cableLength) / site.conductorSize
  return { ...shown, value: Math.max(0, shown.value - core - LEAD) }
}

/** Ohm mm²/m of a core as the tables have it, and ohm of a lead. */
const NOMINAL = 0.0182
const LEAD = 0.05

function value(exact: number, resolution: number): Taken {
  return { kind: 'value', value: Math.round(exact / resolution) * resolution, resolution }
}

/** What the plan has where no limit is given, m: the owner's; assumed. */
const PLANNED = { place: 2, height: 0.05 }

/** What a tape or a gauge is put to, and by how much it is off the plan, m. */
export function planOf(check: Check, world: World): { planned: number; off: number } {
  const { does } = check
  const words = does.kind === 'measure' ? `${check.title} ${does.quantity}` : ''
  if (/height/i.test(words)) return { planned: PLANNED.height, off: world.sights.heightOff }
  if (/place of|from its signal/i.test(words)) return { planned: PLANNED.place, off: world.sights.placeOff }
  const { spacingOff, placeOff } = world.sights
  const both = /from the signal/i.test(check.instruction) && Math.abs(placeOff) > Math.abs(spacingOff)
  return { planned: plannedSpacing(world.site), off: both ? placeOff : spacingOff }
}

function tape(check: Check, world: World, chance: Chance): number {
  const { planned, off } = planOf(check, world)
  return Math.max(0.01, planned + off + chance.between(-0.004, 0.004) * Math.max(1, planned))
}

function frequency(check: Check, does: Measures, world: World, state: State, chance: Chance): Taken {
  const trigger =
    /trigger|reach second/i.test(`${check.title} ${does.quantity}`) || does.between.includes('T1')
  const name = trigger ? 'trigger' : 'arming'
  const overLoop = /receiver|over the (?:arming |trigger )?loop/i.test(
    `${does.quantity} ${check.instruction}`,
  )
  const hertz = overLoop ? toneOver(world, name, state) : frequencyAt(world, name, state)
  return hertz === 0 ? value(0, 10) : value(hertz * (1 + chance.between(-5e-5, 5e-5)), 10)
}

function feederDrop(world: World, state: State, chance: Chance): Taken {
  const [sent, got] = (
    [
      ['U1', 'U2'],
      ['Z1', 'Z2'],
    ] as const
  ).map(([a, b]) => reading(world, [a, b], METERS['volts AC'], state, chance.between(-1, 1)))
  if (sent?.kind !== 'value' || got?.kind !== 'value') return { kind: 'over' }
  return value(sent.value - got.value, 0.1)
}

function pairsOf(does: Measures, words: string): [string, string][] {
  if (/terminals, joined/i.test(words)) return LINE_TERMINALS.map(one => [`${one}${ITSELF}`, EARTH])
  if (/across each link/i.test(words)) return BOX_ENDS.map(end => [end, `${end}~`])
  if (does.clamp) return does.between.map(terminal => [terminal, ITSELF])
  const [a, b, c, d] = does.between
  if (a === undefined || b === undefined) {
    const place = PLACES.find(([when]) => when.test(words))
    return place ? [place[1]] : []
  }
  if (c !== undefined && d !== undefined)
    return [
      [a, b],
      [c, d],
    ]
  const toEarth: [string, string][] = /each (?:core|wire) to earth/i.test(words)
    ? [
        [a, 'E1'],
        [b, 'E1'],
      ]
    : []
  if (c === undefined) return [[a, b], ...toEarth]
  if (toEarth.length > 0 || /lowest reading/i.test(words))
    return [
      [a, b],
      [a, c],
      [b, c],
    ]
  return [
    [a, c],
    [b, c],
  ]
}

function functionOf(check: Check, { unit }: Measures, probes: [string, string]): MeterFunction {
  const base = getUnit(unit).base
  if (base === 'V AC') return 'volts AC'
  if (base === 'V DC') return 'volts DC'
  if (base === 'A') return clampFor(probes)
  if (check.insulationTest) return 'insulation'
  return check.instrument.method === '4-wire' ? 'four-wire ohms' : 'ohms'
}

function clampFor(probes: [string, string]): MeterFunction {
  if (probes.some(probe => /^L?[AT]\d/.test(probe))) return 'tone clamp'
  return probes.some(probe => /^[DJ]/.test(probe)) ? 'direct clamp' : 'mains clamp'
}

/**
 * What shows with the probes where a technician put them, with the function that the check asks for. Terminals of
 * different circuits have nothing between them.
 */
export function takeBetween(
  check: Check,
  pair: [string, string],
  world: World,
  state: State,
  chance: Chance,
  own: OwnMeter = usual => usual,
): Taken | null {
  const { does } = check
  if (does.kind !== 'measure') return null
  try {
    return one(own(METERS[functionOf(check, does, pair)]), world, pair, state, chance)
  } catch (error) {
    if (error instanceof RangeError) return { kind: 'over' }
    throw error
  }
}

function one(meter: Instrument, world: World, probes: [string, string], state: State, chance: Chance): Taken {
  const shown = reading(world, probes, meter, state, chance.between(-1, 1))
  if (meter.function !== 'volts DC' || shown.kind !== 'value' || Math.abs(shown.value) > 5)
    return taken(shown, meter)
  return taken(reading(world, probes, MILLIVOLTS, state, chance.between(-1, 1)), MILLIVOLTS)
}

function taken(shown: Shown, { resolution }: Instrument): Taken {
  return shown.kind === 'value' ? { ...shown, resolution } : shown
}

function lowest(readings: Taken[]): Taken {
  const live = readings.find(({ kind }) => kind === 'live')
  if (live) return live
  const values = readings.flatMap(shown => (shown.kind === 'value' ? [shown] : []))
  return values.sort((a, b) => a.value - b.value)[0] ?? { kind: 'over' }
}

/** The reading furthest from nought, whichever way round the probes are. */
function highest(readings: Taken[]): Taken {
  const past = readings.find(({ kind }) => kind !== 'value')
  if (past) return past
  const values = readings.flatMap(shown => (shown.kind === 'value' ? [shown] : []))
  return values.sort((a, b) => Math.abs(b.value) - Math.abs(a.value))[0] ?? { kind: 'over' }
}

/** Below this share of what is expected, or of full voltage, a technician says that nothing is there. */
const NOTHING = 0.02
const USUAL: Record<string, number> = { A: 0.2, 'V AC': 110, 'V DC': 24, Hz: 1000 }

/** What is typed: in the unit of the check, or in words where it has a row for them. */
export function typed(check: Check, shown: Taken, fuse: number, expected: number | null): string {
  if (check.does.kind !== 'measure' || shown.kind === 'live') return 'OL'
  if (shown.kind === 'over') return check.insulationTest ? '>200 Mohm' : 'OL'
  const unit = getUnit(check.does.unit)
  const hasNone = check.rows.some(({ match }) => match.kind === 'none')
  if (hasNone && Math.abs(shown.value) <= NOTHING * (expected || (USUAL[unit.base] ?? 1))) return 'none'
  if (
    unit.base === 'A' &&
    /where the fuse (?:blows|has blown)/i.test(check.instruction) &&
    shown.value > 2 * fuse
  )
    return `>${fuse} A`
  const digits = Math.max(0, Math.ceil(-Math.log10(fromBase(shown.resolution, unit)) - 1e-9))
  return `${fromBase(shown.value, unit).toFixed(Math.min(9, digits))} ${unit.symbol}`
}
