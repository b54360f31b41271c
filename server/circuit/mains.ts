// The 110 V side: feeding point, feeder, transformer, fuses, busbars, the wires to the power module, the red lamp.

import { coreOhmPerMetre } from './copper.ts'
import { EARTH, type Element } from './network.ts'
import { GOOD, OPEN, type State, type World } from './world.ts'

/** V a load is rated for. */
const RATED = 110
/** Ohms of an unearthed supply to earth, each leg: every coil and cable together. Assumed. */
const TO_EARTH = 5e7
/** Ohms of a rail to earth. Assumed. */
const RAIL_OHM = 20
/** Ohms of an earth-fault detector, across the supply and from each leg to its earth lead. Assumed. */
const DETECTOR_OHM = 1e4
const DETECTOR_TO_EARTH = 2e7
/** W that the power module takes by itself, and what part of the rest it hands on. Assumed. */
const OWN_WATTS = 6
const HANDED_ON = 0.8

/** What the rest of the equipment makes of the 110 V side. */
export interface MainsState {
  /** Ohms that the indication puts in series with the red lamp. */
  lampOhm: number
  /** W that the power module hands on to the 24 V side. */
  watts: number
  /** The feeding point is on; for a test of what is dead it is off and lets nothing through. */
  live: boolean
}

export function mainsNetwork(world: World, state: State, { lampOhm, watts, live }: MainsState): Element[] {
  return [
    ...feeder(world, state, live),
    ...transformerToBusbars(world, state),
    ...loads(world),
    ...supplyWires(world, state, watts),
    branch('B1', 'LK1', world.joints.redCircuit + (state.due ? 0 : OPEN)),
    branch('LK1', 'LK2', lampOhm),
    branch('LK2', 'G1', GOOD),
    branch('G1', 'G2', world.joints.redLamp),
    branch('G2', 'N1', GOOD),
    branch('FR1', 'RL1', world.joints.frame),
    branch('RL1', EARTH, RAIL_OHM),
    ...state.leads.filter(([a]) => /^[UVZ]/.test(a)).map(([a, b]) => branch(a, b, GOOD)),
  ]
}

/** A branch of resistance alone, named where its current is asked for. */
export function branch(from: string, to: string, ohm: number, name?: string): Element {
  return { kind: 'branch', from, to, ohm, ...(name === undefined ? {} : { name }) }
}

/** The joint of a terminal and its outgoing core, `T~`; nothing where the core is lifted. */
export function joint(terminal: string, state: State, name?: string): Element[] {
  return state.lifted.has(terminal) ? [] : [branch(terminal, `${terminal}~`, GOOD, name)]
}

function feeder({ supply, site }: World, state: State, live: boolean): Element[] {
  const ofTheBranch = supply.extent === 'this case'
  const core = coreOhmPerMetre(site.feederSize, site.celsius) * site.feederLength
  return [
    ...(live ? sources(supply) : []),
    branch('O1', 'U1', GOOD),
    branch('O2', 'U2', GOOD),
    ...['U1', 'U2', 'Z1', 'Z2'].flatMap(terminal => joint(terminal, state)),
    branch('U1~', 'V1', core / 2 + (ofTheBranch ? 0 : supply.feederJoint), 'feeder'),
    branch('U2~', 'V0', core / 2),
    branch('V1', 'V2', supply.branchFuse),
    branch('V2', 'Z1~', core / 2 + (ofTheBranch ? supply.feederJoint : 0)),
    branch('V0', 'Z2~', core / 2),
    branch('U1~', 'U2~', supply.feederBridge),
    branch('U1~', EARTH, supply.feederLeak),
    branch('U1~', EARTH, TO_EARTH),
    branch('U2~', EARTH, TO_EARTH),
  ]
}

/** The main source, and what stands by, through the contacts of the changeover. */
function sources({ volts, ohm, source: on, changeover, standby }: World['supply']): Element[] {
  const contact = on === 'neither' ? OPEN : changeover
  return [
    source('MA1', 'MA2', volts, ohm),
    branch('MA1', 'O1', on === 'standby' ? OPEN : contact),
    branch('MA2', 'O2', GOOD),
    ...(on === 'standby' ? [source('O1', 'O2', standby, contact)] : []),
  ]
}

function source(from: string, to: string, volts: number, ohm: number): Element {
  return { kind: 'source', from, to, volts, ohm }
}

function transformerToBusbars({ supply }: World, state: State): Element[] {
  return [
    { kind: 'transformer', first: ['Z1', 'Z2'], second: ['winding', 'Y2'], ratio: supply.ratio },
    branch('winding', 'Y1', supply.windings),
    ...joint('Y1', state),
    ...joint('Y2', state),
    branch('Y1~', 'C1', supply.caseFeed),
    branch('C1', 'B1', supply.caseFuse, 'case feed'),
    branch('Y2~', 'N1', supply.caseReturn),
    branch('B1', EARTH, TO_EARTH),
    branch('N1', EARTH, TO_EARTH),
    ...earthing(supply, state),
  ]
}

/** An earth on one leg, and the detector that watches for it. */
function earthing({ earth, detectorFeed, detectorEarth }: World['supply'], state: State): Element[] {
  const [feed, back] = earth?.at === 'winding' ? ['winding', 'Y2'] : ['B1', 'N1']
  const leak = earth ? [branch(earth.leg === 'feed' ? feed : back, EARTH, earth.ohm)] : []
  return [
    ...leak,
    branch('B1', 'ED1~', detectorFeed),
    branch('N1', 'ED2~', GOOD),
    ...joint('ED1', state),
    ...joint('ED2', state),
    branch('ED1', 'ED2', DETECTOR_OHM),
    branch('ED1', 'ED0', DETECTOR_TO_EARTH),
    branch('ED2', 'ED0', DETECTOR_TO_EARTH),
    branch('ED0', EARTH, detectorEarth),
  ]
}

function loads({ supply, site }: World): Element[] {
  const extra = supply.extraLoad > 0 ? [branch('B1', 'N1', RATED / supply.extraLoad)] : []
  return [branch('B1', 'N1', RATED / site.caseLoad), ...extra]
}

function supplyWires({ supply, power }: World, state: State, watts: number): Element[] {
  const inPlace = (what: 'supply fuse' | 'surge arrester' | 'power module') => !state.out.has(what)
  const fuse = state.newFuse ? 0.1 : supply.fuse
  const input = power.inputOhm ?? RATED ** 2 / (OWN_WATTS + watts / HANDED_ON)
  return [
    ...(inPlace('supply fuse') ? [branch('B1', 'F1', fuse + supply.holder)] : []),
    branch('F1', 'S1~', supply.feedWire, 'supply feed'),
    ...joint('N1', state),
    branch('N1~', 'S2~', supply.returnWire),
    ...joint('S1', state),
    ...joint('S2', state),
    branch('S1~', 'S2~', supply.wireBridge),
    branch('S1~', EARTH, supply.wireLeak),
    ...(inPlace('surge arrester') ? [branch('S1~', 'S2~', supply.arrester)] : []),
    ...(inPlace('power module') ? [branch('S1', 'S2', input)] : []),
  ]
}
