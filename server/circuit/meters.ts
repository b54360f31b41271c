// What an instrument shows at two terminals of the equipment as it stands.

import { directNetwork } from './direct.ts'
import { idleChannel, lineNetwork, TERMINALS } from './loop-line.ts'
import { branch, mainsNetwork } from './mains.ts'
import { EARTH, type Element, size, solve } from './network.ts'
import { operate, toneOf } from './operate.ts'
import type { LineName, State, World } from './world.ts'

export type MeterFunction =
  | 'volts AC'
  | 'volts DC'
  | 'ohms'
  | 'four-wire ohms'
  | 'insulation'
  | 'mains clamp'
  | 'direct clamp'
  | 'tone clamp'
  | 'tone frequency'

/** An instrument as it is used: its error is drawn anew at each reading. */
export interface Instrument {
  function: MeterFunction
  /** ± percent of the reading, ± counts of `resolution`, in the unit of the function (V, ohm, A, Hz). */
  percent: number
  counts: number
  resolution: number
  /** Above it shows over-range. */
  range: number
  /** Ohms of its two leads, read along by a two-wire ohmmeter. */
  leads?: number
}

/** `over`: over its range. `live`: voltage where an ohmmeter wants none. Values in V, ohm, A, Hz. */
export type Shown = { kind: 'value'; value: number } | { kind: 'over' } | { kind: 'live' }

/** Ohms of a voltmeter, common practice for a digital one. */
const VOLTMETER_OHM = 1e7
/** V that disturb an ohmmeter. */
const DISTURBS = 0.5
/** Ends a probe's name that is on the terminal itself although its core is off. */
export const ITSELF = '^'
/** Terminals at which what is tested is the outgoing core, not the terminal itself, when the core is lifted. */
const TESTED_BY_CORE = /^(?:[AT][12]|L[AT][12]|[UZLHS][12]|S[AT]|N1)$/

/**
 * One reading with the probes on `a` and `b`, which for a clamp name the wire by the terminals of its pair. `error` is
 * where in its band the instrument is off, −1 to 1. Throws RangeError for a pair that is in no one circuit.
 */
export function reading(
  world: World,
  probes: [string, string],
  meter: Instrument,
  state: State,
  error: number,
): Shown {
  const exact = exactly(world, probes, meter, state)
  if (exact === 'live') return { kind: 'live' }
  const width = (meter.percent / 100) * Math.abs(exact) + meter.counts * meter.resolution
  const signed = meter.function === 'volts DC' || meter.function === 'direct clamp'
  const off = signed ? exact + error * width : Math.max(0, exact + error * width)
  if (Math.abs(off) > meter.range) return { kind: 'over' }
  return { kind: 'value', value: Math.round(off / meter.resolution) * meter.resolution }
}

function exactly(world: World, probes: [string, string], meter: Instrument, state: State): number | 'live' {
  switch (meter.function) {
    case 'volts AC':
      return size(voltage(world, probes, state, 'AC'))
    case 'volts DC':
      return voltage(world, probes, state, 'DC').re
    case 'ohms':
    case 'four-wire ohms':
    case 'insulation':
      return resistance(world, probes, state, meter.leads ?? 0)
    case 'mains clamp':
      return size(operate(world, state).mains.amperes(mainsWire(probes)))
    case 'direct clamp':
      return operate(world, state).direct.amperes('drive wire').re
    case 'tone clamp':
      return operate(world, state).outputs[lineOf(probes)]
    case 'tone frequency':
      return frequencyAt(world, lineOf(probes), state)
  }
}

function mainsWire(probes: [string, string]): string {
  if (probes.some(probe => /^[UZ]/.test(probe))) return 'feeder'
  return probes.includes('F1') || probes.includes('S1') ? 'supply feed' : 'case feed'
}

/** The line that a pair of probes is at. */
function lineOf(probes: [string, string]): LineName {
  return probes.some(probe => /^L?T\d/.test(probe)) ? 'trigger' : 'arming'
}

/** Hz at the output of a channel; 0 where it gives nothing to read. */
export function frequencyAt(world: World, name: LineName, state: State): number {
  const { outputs } = operate(world, state)
  const channel = world.sights.wires === 'crossed' ? (name === 'arming' ? 'trigger' : 'arming') : name
  if (outputs[name] < 0.05) return 0
  return toneOf(world.site, world.module.variant, channel, world.module.toneOff)
}

function voltage(world: World, [a, b]: [string, string], state: State, kind: 'AC' | 'DC') {
  const { mains, mainsElements, direct, directState } = operate(world, state)
  const [net, elements, hertz] =
    kind === 'AC'
      ? [mains, () => mainsElements, 50]
      : ([direct, () => directNetwork(world, state, directState), 0] as const)
  if (!net.has(a) || !net.has(b)) return { re: 0, im: 0 }
  return solve([...elements(), branch(a, b, VOLTMETER_OHM)], hertz).volts(a, b)
}

function resistance(world: World, probes: [string, string], state: State, leads: number): number | 'live' {
  const [a, b] = probes.map(probe => sideOf(probe, state)) as [string, string]
  if (isLive(world, [a, b], state)) return 'live'
  const elements = deadNetworks(world, state).find(net => holds(net, a) && holds(net, b))
  if (!elements) throw new RangeError(`${a} and ${b} are in no one circuit.`)
  return size(solve([...elements, { kind: 'current', from: a, to: b, amperes: 1 }]).volts(a, b)) + leads
}

function sideOf(probe: string, state: State): string {
  if (probe.endsWith(ITSELF)) return probe.slice(0, -1)
  return state.lifted.has(probe) && TESTED_BY_CORE.test(probe) ? `${probe}~` : probe
}

function isLive(world: World, [a, b]: [string, string], state: State): boolean {
  const { mains, direct } = operate(world, state)
  return [mains, direct].some(net => net.has(a) && net.has(b) && size(net.volts(a, b)) > DISTURBS)
}

/** Every circuit with its sources off. */
function deadNetworks(world: World, state: State): Element[][] {
  const { directState } = operate(world, state)
  return [
    mainsNetwork(world, state, { lampOhm: 0, watts: 20, live: false }),
    directNetwork(world, state, { ...directState, live: false }),
    ...(['arming', 'trigger'] as const).map(name => [
      ...lineNetwork(world, state, name, 0),
      ...(moduleOut(state) ? [] : idleChannel(name)),
    ]),
  ]
}

function moduleOut(state: State): boolean {
  return state.out.has('transmitter module')
}

function holds(elements: Element[], node: string): boolean {
  if (node === EARTH) return true
  return elements.some(element => 'from' in element && (element.from === node || element.to === node))
}

/** The tone that a receiver hears over a loop, Hz; 0: none. A crossed pair has each loop's tone over the other. */
export function toneOver(world: World, name: LineName, state: State): number {
  const crossed = world.sights.loops === 'crossed'
  const fed = crossed ? (name === 'arming' ? 'trigger' : 'arming') : name
  const driven = operate(world, state).driven[fed]
  const [one, two] = TERMINALS[fed].link
  if (!driven?.has(`${one}~`) || world.sights.loop === 'gone') return 0
  return loopAmperes(world, fed, driven.volts(`${one}~`, `${two}~`)) < HEARD
    ? 0
    : frequencyAt(world, fed, state)
}

/** A in the loop below which a receiver held over it hears nothing. Assumed. */
const HEARD = 0.3

function loopAmperes(world: World, name: LineName, volts: { re: number; im: number }): number {
  const line = world.lines[name]
  const reactance = 2 * Math.PI * 65_000 * line.loopHenry * Math.max(line.loopLeft, 0.02) ** 2
  const heard = line.loopLeft < 0.6 ? 0 : 1
  return (heard * size(volts)) / Math.hypot(reactance, 3 * line.loopOhm)
}
