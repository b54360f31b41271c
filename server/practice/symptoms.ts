// When a world shows the symptom of a tree: what is told of it, and whether it would be reported so at all.

import { reading } from '../circuit/meters.ts'
import { EARTH, size } from '../circuit/network.ts'
import { operate } from '../circuit/operate.ts'
import { OPEN, type Sights, type State, type World } from '../circuit/world.ts'
import type { Chance } from './chance.ts'
import { stateFound } from './state-words.ts'

/** What a symptom adds to a world with a cause in it; `cause` is its slug. */
interface Symptom {
  /** Drive is due when the technician comes. */
  due: boolean
  /** What is told at the report, or found with it. */
  tell?: (world: World, cause: string, chance: Chance) => void
  shows: (world: World, state: State, cause: string) => boolean
}

const VOLTS = { function: 'volts AC', percent: 0, counts: 0, resolution: 0.01, range: 1000 } as const

function volts(world: World, a: string, b: string, state: State): number {
  const shown = reading(world, [a, b], VOLTS, state, 0)
  return shown.kind === 'value' ? shown.value : 0
}

const SOUND_OUTPUT = 0.9
const LOW_SUPPLY = 99
const HIGH_SUPPLY = 121
const HARDLY_LIVE = 25
/** V DC of a line below which what hangs on it shows failure. */
const RELAY_HEARS = 15
/** Ohms over which a fuse has blown. */
const BLOWN = 1e3

function sound(amperes: number): boolean {
  return amperes >= SOUND_OUTPUT
}

/** By the slug of the tree. */
export const SYMPTOMS: Readonly<Record<string, Symptom>> = {
  'supply-absent-or-low': {
    due: true,
    shows: (world, state) =>
      !operate(world, state).telltales.supply || volts(world, 'S1', 'S2', state) < LOW_SUPPLY,
  },
  'case-supply-dead': { due: true, shows: (world, state) => volts(world, 'B1', 'N1', state) < HARDLY_LIVE },
  'case-supply-low': {
    due: true,
    shows: (world, state) => {
      const busbar = volts(world, 'B1', 'N1', state)
      return (busbar >= HARDLY_LIVE && busbar < LOW_SUPPLY) || busbar > HIGH_SUPPLY
    },
  },
  'no-drive': { due: true, shows: (world, state) => !operate(world, state).telltales.drive },
  'output-dead-drive-present': {
    due: true,
    shows: (world, state) => {
      const { telltales } = operate(world, state)
      return telltales.drive && !telltales.output
    },
  },
  'one-loop-dead': {
    due: true,
    shows: (world, state) => {
      const { arming, trigger } = operate(world, state).outputs
      return sound(arming) !== sound(trigger)
    },
  },
  'failure-indicated-all-well': {
    due: true,
    shows: (world, state) => {
      const { arming, trigger } = operate(world, state).outputs
      return sound(arming) && sound(trigger) && operate(world, state).indication === 'failed'
    },
  },
  'indication-wrong': {
    due: true,
    shows: (world, state) => {
      const { directState, indication } = operate(world, state)
      return directState.proving !== (indication === 'healthy') || !directState.repeater
    },
  },
  'failure-with-lamp-failure': {
    due: true,
    shows: (world, state) => {
      const { redLamp, indication } = operate(world, state)
      return !redLamp || (world.site.indication === 'lamp circuit' && indication === 'failed')
    },
  },
  'fuse-blows-again': {
    due: true,
    shows: (world, state, cause) => world.supply.fuse > BLOWN && (/fuse/.test(cause) || blows(world, state)),
    tell: ({ supply }) => {
      supply.fuse = OPEN
    },
  },
  'telltale-found-out': {
    due: true,
    shows: (world, state) => {
      const { telltales, indication } = operate(world, state)
      const dark = !telltales.supply || !telltales.drive || !telltales.output
      return dark && (indication === 'healthy' || world.site.indication === 'none')
    },
  },
  'trains-stopped-wrongly': {
    due: false,
    shows: ({ sights }) => !['nothing'].includes(sights.stopped),
  },
  'wrong-direction-or-tone': {
    due: true,
    shows: ({ module, sights }) =>
      module.variant === 'wrong direction or duty' ||
      module.toneOff !== 0 ||
      sights.loops === 'crossed' ||
      sights.wires === 'crossed',
  },
  'intermittent-in-the-wet': {
    due: true,
    tell: ({ sights }) => {
      sights.dropsOut = 'in the wet'
    },
    shows: ({ lines, sights, joints }) =>
      sights.damp === 'wet' ||
      joints.supplyContact > 1 ||
      Object.values(lines).some(
        ({ leak, loopLeak, screenOhm, screenEarth, terminalLeak }) =>
          leak !== null || terminalLeak < 1e6 || loopLeak < 1e6 || screenOhm > 1 || screenEarth < 1e7,
      ),
  },
  'intermittent-with-trains': {
    due: true,
    tell: comesAndGoes,
    shows: (world, state) => isLoose(world) && !fails(world, state),
  },
  'just-worked-on': {
    due: true,
    shows: fails,
    tell: ({ sights }, cause) => {
      sights.lastWork = workBefore(cause)
    },
  },
  'damaged-or-tampered': { due: true, shows: ({ sights }) => isDamaged(sights) },
  'drive-relay-does-not-follow': {
    due: true,
    shows: ({ site, sights }) => site.signal && sights.driveRelay === 'wrong',
  },
  'indication-unit-in-doubt': {
    due: true,
    shows: (world, state) =>
      world.site.indication === 'own lamp' &&
      (world.sights.unitTest === 'wrong' ||
        operate(world, state).direct.volts('IU3', 'IU4').re < RELAY_HEARS),
  },
  'link-box-in-doubt': {
    due: true,
    shows: ({ sights, lines }) =>
      sights.linkBoxLid === 'damaged' ||
      sights.linkBox === 'water' ||
      sights.tails === 'loose' ||
      Object.values(lines).some(({ boxLink }) => boxLink > 0.2),
  },
  'loop-or-connector-in-doubt': {
    due: true,
    shows: ({ sights, joints }) =>
      sights.connector === 'loose' ||
      sights.fixing === 'wrong' ||
      sights.linkBox === 'water' ||
      ['cut', 'fixing', 'fouled', 'out of place'].includes(sights.loop) ||
      joints.frame < 1e3,
  },
  'supply-changed-over': {
    due: true,
    tell: ({ sights }, cause) => {
      if (cause === 'feeding-point-at-fault') sights.changeover = 'none here'
    },
    shows: ({ supply, sights }) =>
      supply.source !== 'main' ||
      supply.volts < LOW_SUPPLY ||
      supply.changeover > 1 ||
      sights.changeover !== 'quiet',
  },
  'earth-fault': {
    due: true,
    tell: earthFault,
    shows: world => legs(world).atBusbars || legs(world).atFeeder,
  },
  'earth-fault-detector-alarm': {
    due: true,
    tell: earthFault,
    shows: world => legs(world).atBusbars || world.sights.detectorTest === 'wrong',
  },
  'maintenance-round': { due: true, shows: () => true },
}

/** How far one leg may be below the other and no earth be there; a part of the voltage between both. */
const UNLIKE_LEGS = 0.4

/** V AC of the legs of the busbars against earth, and whether they or the feeder's are unlike. */
export function legs(world: World) {
  const net = operate(world, stateFound(true)).mains
  const pairOf = (one: string, two: string) => {
    const [first, second] = [one, two].map(name => size(net.volts(name, EARTH)))
    return { first: first ?? 0, second: second ?? 0, whole: size(net.volts(one, two)) }
  }
  const unlike = ({ first, second, whole }: { first: number; second: number; whole: number }) =>
    Math.abs(first - second) > UNLIKE_LEGS * whole && whole > HARDLY_LIVE
  const [busbars, feeder] = [pairOf('B1', 'N1'), pairOf('U1', 'U2')]
  return { busbars, atBusbars: unlike(busbars), atFeeder: unlike(feeder) }
}

/** A fault that leaks to earth and does not yet take the supply with it. */
function earthFault({ supply, sights }: World, cause: string, chance: Chance): void {
  supply.fuse = Math.min(supply.fuse, 0.1)
  if (cause === 'supply-wire-insulation-damaged')
    Object.assign(supply, { wireBridge: 5e9, wireLeak: chance.between(100, 2e4) })
  if (cause === 'transformer-failed')
    Object.assign(supply, {
      windings: 0.15,
      earth: { leg: 'feed', ohm: chance.between(50, 2e4), at: 'winding' },
    })
  if (cause === 'feeder-insulation-failed')
    Object.assign(supply, { feederBridge: 5e9, ohm: 0.05, feederLeak: chance.between(50, 2e4) })
  if (cause === 'feeder-insulation-failed') sights.earthTold = 'feeder'
  if (sights.detectorTest === 'right') sights.detector = 'alarm'
}

/** The fuse would blow again: more than twice its rating flows. */
function blows(world: World, state: State): boolean {
  const { mains } = operate(world, { ...state, newFuse: true })
  return size(mains.amperes('supply feed')) > 1.9 * world.site.supplyFuse
}

/** Something is noticed: a telltale dark, the indication failed, or the loops not as they should be. */
function fails(world: World, state: State): boolean {
  const { telltales, indication } = operate(world, state)
  const { loops, wires, spacingOff, stopped } = world.sights
  const dark = !telltales.supply || !telltales.drive || !telltales.output
  const astray =
    loops !== 'right' ||
    wires === 'crossed' ||
    spacingOff !== 0 ||
    stopped !== 'nothing' ||
    world.module.variant !== 'right'
  return dark || indication === 'failed' || astray
}

function isDamaged({ seal, lock, left, wires, route, loop }: Sights): boolean {
  const inside = seal !== 'whole' || lock !== 'sound' || left !== 'nothing' || wires === 'cut'
  return inside || route !== 'whole' || loop !== 'whole'
}

function isLoose({ sights, joints, supply }: World): boolean {
  const moves = sights.flickers !== 'nothing' || sights.tails !== 'sound' || sights.loop === 'fixing'
  const relay = joints.armContact + joints.lampProvingContact + joints.relayFeed > 100
  return moves || relay || joints.supplyContact > 0.2 || joints.driveContact > 10 || supply.feederJoint > 1
}

/** What was worked on last, where a cause is one that work leaves. */
function workBefore(cause: string): Sights['lastWork'] {
  if (/module|contact-finishes|settings/.test(cause)) return 'module'
  if (/loops-|spacing|loop-out/.test(cause)) return 'loops'
  if (/screen/.test(cause)) return 'cables'
  return /strap|wire|link/.test(cause) ? 'wires' : 'nothing known'
}

/** A joint that still conducts when the technician looks, and gives way for a moment now and then. */
function comesAndGoes({ sights, joints, supply, lines }: World, cause: string, chance: Chance): void {
  const loads = /case-|feeder|transformer|feeding/.test(cause)
  const others = /drive|relay|arm-or-lever|lamp-proving/.test(cause)
    ? (['as the signal returns', 'no pattern'] as const)
    : (['as trains pass', 'no pattern'] as const)
  sights.dropsOut = loads ? 'when loads switch' : chance.pick<Sights['dropsOut']>(others)
  for (const name of ['supplyContact', 'driveContact', 'driveWire', 'driveReturn'] as const) {
    if (joints[name] > 1)
      joints[name] = name === 'supplyContact' ? chance.between(0.3, 3) : chance.between(12, 100)
  }
  for (const name of ['armContact', 'lampProvingContact', 'relayFeed'] as const) {
    if (joints[name] > 1) joints[name] = chance.between(350, 600)
  }
  for (const name of ['feedWire', 'returnWire', 'holder'] as const) {
    if (supply[name] > 1) supply[name] = chance.between(0.1, 0.5)
  }
  for (const line of Object.values(lines)) {
    line.tail = [Math.min(line.tail[0], 0.3), Math.min(line.tail[1], 0.3)]
    if (line.loopOhm > 1) line.loopOhm = 0.2
  }
}

/** Whether this world would be reported under the tree, with the state in which the technician finds it. */
export function shows(tree: string, world: World, cause: string): State | null {
  const symptom = SYMPTOMS[tree]
  if (!symptom) return null
  const state = stateFound(symptom.due || !world.site.signal)
  return symptom.shows(world, state, cause) ? state : null
}

export function tell(tree: string, world: World, cause: string, chance: Chance): void {
  SYMPTOMS[tree]?.tell?.(world, cause, chance)
}

/** The trees that a plain symptom leads to, in the order in which a technician sees what fails. */
export const SYMPTOM_ORDER = [
  ...['case-supply-dead', 'case-supply-low', 'supply-absent-or-low', 'fuse-blows-again'],
  ...['no-drive', 'one-loop-dead'],
  ...['output-dead-drive-present', 'failure-indicated-all-well', 'wrong-direction-or-tone'],
]
