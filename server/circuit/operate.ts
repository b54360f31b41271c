// What the equipment does at this moment: each part's behaviour from the voltages it is given, followed once round from
// the supply to the indication. Thresholds are the demonstration's own.

import { type DirectState, directNetwork, moduleIn } from './direct.ts'
import { channelNetwork, lineNetwork, TERMINALS } from './loop-line.ts'
import { mainsNetwork } from './mains.ts'
import { type Element, type Solved, size, solve } from './network.ts'
import { type LineName, OPEN, type Site, type State, type World } from './world.ts'

/** V AC over which the power module holds its output; below, the output falls with it. */
const POWER_HOLDS = 88
const POWER_GONE = 25
/** V DC below which the module, its drive and its suppression do not work, and a relay does not pick up. */
const MODULE_WORKS = 19
const DRIVE_WORKS = 15
const SUPPRESSION_WORKS = 12
const RELAY_PICKS = 15
const TELLTALE_LIGHTS = 17
/** A of an output that the module takes for a sound loop. */
const PROVES = { least: 0.75, most: 1.45 }
const SEEN = 0.6
/** A lamp with less than this share of its voltage is seen as dark. */
const LAMP_LIT = 0.6

export interface Operation {
  mains: Solved
  mainsElements: Element[]
  direct: Solved
  directState: DirectState
  /** A at each output as it stands; the network where the output is driven. */
  outputs: Record<LineName, number>
  driven: Record<LineName, Solved | null>
  telltales: { supply: boolean; drive: boolean; output: boolean }
  /** The output goes, whether or not it should. */
  running: boolean
  redLamp: boolean
  indication: 'healthy' | 'failed'
}

const known = new WeakMap<World, WeakMap<State, Operation>>()

/** Worked out once for a world and a state: neither may be changed afterwards. */
export function operate(world: World, state: State): Operation {
  const states = known.get(world) ?? new WeakMap<State, Operation>()
  known.set(world, states)
  const operation = states.get(state) ?? worked(world, state)
  states.set(state, operation)
  return operation
}

function worked(world: World, state: State): Operation {
  const mains = solve(mainsNetwork(world, state, { lampOhm: 0, watts: 20, live: true }), 50)
  const power = powerVolts(world, size(mains.volts('S1', 'S2')))
  let now: DirectState = { power, running: false, proving: false, repeater: false, live: true }
  now = { ...now, power: heldBack(world, state, now) }
  const called = runs(world, state, solved(world, state, now))
  const running = called && runs(world, state, solved(world, state, { ...now, running: true }))
  now = { ...now, running }
  now = { ...now, power: heldBack(world, state, { ...now, power }) }
  const driven = {
    arming: drive(world, state, 'arming', running),
    trigger: drive(world, state, 'trigger', running),
  }
  const outputs = { arming: outputOf('arming', state, driven), trigger: outputOf('trigger', state, driven) }
  now = { ...now, proving: proves(world, outputs) }
  now = { ...now, repeater: solved(world, state, now).volts('R1', 'R0').re >= RELAY_PICKS }
  const direct = solved(world, state, now)
  const ends = shown(world, state, now, direct)
  return {
    direct,
    directState: now,
    outputs,
    driven,
    running,
    telltales: lights(world, state, direct, outputs),
    ...ends,
  }
}

function solved(world: World, state: State, now: DirectState): Solved {
  return solve(directNetwork(world, state, now))
}

function powerVolts(world: World, fed: number): number | null {
  if (fed < POWER_GONE || world.power.volts === 0) return null
  return world.power.volts * Math.min(1, fed / POWER_HOLDS)
}

/** V that the power module still holds: beyond its most amperes its output falls. */
function heldBack(world: World, state: State, now: DirectState): number | null {
  if (now.power === null || state.out.has('power module')) return now.power
  const amperes = solved(world, state, now).amperes('power').re
  return amperes > world.power.most ? (now.power * world.power.most) / amperes : now.power
}

function runs(world: World, state: State, direct: Solved): boolean {
  if (!moduleIn(world, state)) return false
  const supplied = direct.volts('M1', 'M0').re >= MODULE_WORKS
  const called = world.module.stuckOn || direct.volts('D1', 'D2').re >= DRIVE_WORKS
  return supplied && called && direct.volts('M2', 'M0').re >= SUPPRESSION_WORKS
}

/** Hz of a channel: the tone plan (values from memory), plus what is wrong with the module. */
export function toneOf(site: Site, variant: World['module']['variant'], name: LineName, off = 0): number {
  const wrong = variant === 'wrong direction or duty'
  const opposite = (site.direction === 'opposite') !== wrong
  const middle = name === 'trigger' ? 65.25 : site.duty === 'train stop' ? 66.25 : 64.25
  return 1000 * (middle + (opposite ? 0.5 : 0) + off)
}

function drive(world: World, state: State, name: LineName, running: boolean): Solved | null {
  if (!running || world.module.dead[name]) return null
  const hertz = toneOf(world.site, 'right', name)
  return solve(
    [...lineNetwork(world, state, name, hertz), ...channelNetwork(world, state, name, hertz)],
    hertz,
  )
}

function outputOf(name: LineName, state: State, driven: Record<LineName, Solved | null>): number {
  const network = driven[name]
  if (!network) return 0
  if (state.testLoad.has(name)) return size(network.amperes(`${name} test load`))
  return state.lifted.has(TERMINALS[name].out) ? 0 : size(network.amperes(`${name} lead`))
}

function proves({ module }: World, outputs: Record<LineName, number>): boolean {
  if (module.provesAlways) return true
  const sound = Object.values(outputs).every(amperes => amperes >= PROVES.least && amperes <= PROVES.most)
  return sound && !module.provesNever
}

function lights(world: World, state: State, direct: Solved, outputs: Record<LineName, number>) {
  const fitted = moduleIn(world, state)
  const supplied = fitted && direct.volts('M1', 'M0').re >= MODULE_WORKS
  const current = Object.values(outputs).every(amperes => amperes >= SEEN)
  return {
    supply: direct.volts('P1', 'P2').re >= TELLTALE_LIGHTS,
    drive: supplied && direct.volts('D1', 'D2').re >= DRIVE_WORKS,
    output: supplied && current && !world.module.telltaleFails,
  }
}

function shown(world: World, state: State, now: DirectState, direct: Solved) {
  const { site, joints } = world
  const inLampCircuit = site.indication === 'lamp circuit'
  const made = now.repeater || joints.repeaterStuck
  const lampOhm = inLampCircuit ? (made ? joints.repeaterContact : OPEN) : 0
  const watts = now.power === null ? 0 : world.power.volts * Math.max(0, direct.amperes('power').re)
  const mainsElements = mainsNetwork(world, state, { lampOhm, watts, live: true })
  const mains = solve(mainsElements, 50)
  const redLamp = joints.redLamp < 1e6 && size(mains.volts('G1', 'G2')) >= LAMP_LIT * 110
  const ownLamp = joints.lamp < 1e6 && direct.volts('H1', 'H2').re >= LAMP_LIT * 24
  const healthy = inLampCircuit ? redLamp : ownLamp
  return { mains, mainsElements, redLamp, indication: healthy ? ('healthy' as const) : ('failed' as const) }
}
