// The DC side: the 24 V of the power module and the transmitter's base, the drive, the proving, the repeater and its line.

import { coreOhmPerMetre } from './copper.ts'
import { branch, joint } from './mains.ts'
import { EARTH, type Element } from './network.ts'
import { GOOD, OPEN, type State, type World } from './world.ts'

/** Ohms of inputs and coils, V of the batteries: assumed for the demonstration. */
const IDLE_OHM = 200
const SUPPRESSION_OHM = 2400
const DRIVE_OHM = 1000
const COIL_OHM = 1200
const BLEED_OHM = 2000
const DRIVE_VOLTS = 25
const PROVING_VOLTS = 24.5
const LINE_VOLTS = 24.8
const BATTERY_OHM = 2

/** What the behaviour of modules and relays makes of the DC side at one moment. */
export interface DirectState {
  /** V DC that the power module gives; null: it gives none. */
  power: number | null
  running: boolean
  proving: boolean
  repeater: boolean
  /** Batteries and power module are on; for a test of what is dead they are off. */
  live: boolean
}

export function directNetwork(world: World, state: State, now: DirectState): Element[] {
  return [
    ...moduleSupply(world, state, now),
    ...drive(world, state, now),
    ...proving(world, state, now),
    ...line(world, state, now),
    ...standbyBattery(world, state, now),
    ...driveRelay(world, state, now),
    ...indicationUnit(world, now),
  ]
}

export function moduleIn(world: World, state: State): boolean {
  return !state.out.has('transmitter module') && world.sights.latch === 'home'
}

/** The battery of a changeover, on charge while its main source is there. */
function standbyBattery({ supply }: World, state: State, now: DirectState): Element[] {
  const { volts, ohm, charging } = supply.battery
  const charged = supply.volts > 0 && !state.out.has('charger')
  return [...battery('BP', 'BN', charged ? charging : volts, ohm, now), branch('BP', 'BN', BLEED_OHM)]
}

function battery(from: string, to: string, volts: number, ohm: number, { live }: DirectState): Element[] {
  return live ? [{ kind: 'source', from, to, volts, ohm }] : []
}

function moduleSupply(world: World, state: State, now: DirectState): Element[] {
  const { joints, power, module } = world
  const given: Element[] =
    now.power !== null && now.live
      ? [{ kind: 'source', name: 'power', from: 'P1', to: 'P2', volts: now.power, ohm: power.ohm }]
      : [branch('P1', 'P2', BLEED_OHM)]
  const base = [
    branch('P1', 'X1', GOOD),
    branch('X1', 'X2', joints.suppressionLink),
    branch('m-', 'P2', 0.01),
  ]
  const load = now.running || module.load < IDLE_OHM / 10 ? module.load : IDLE_OHM
  const fitted = moduleIn(world, state)
  const [supply, suppression, back] = fitted
    ? [joints.supplyContact, joints.suppressionContact, joints.returnContact]
    : [OPEN, OPEN, OPEN]
  return [
    ...(state.out.has('power module') ? [branch('P1', 'P2', OPEN)] : given),
    ...base,
    branch('P1', 'M1', supply),
    branch('X2', 'M2', suppression),
    branch('M1', 'M0', load),
    branch('M2', 'M0', SUPPRESSION_OHM),
    branch('M0', 'm-', back),
  ]
}

/** V DC at which the drive relay picks up. Assumed. */
const DRIVE_RELAY_PICKS = 15

function relayPicked({ joints }: World): boolean {
  const before = joints.relayFeed + joints.armContact + joints.lampProvingContact
  return (DRIVE_VOLTS * COIL_OHM) / (COIL_OHM + before) >= DRIVE_RELAY_PICKS
}

function driveRelay({ joints }: World, state: State, now: DirectState): Element[] {
  return [
    ...battery('relay', 'DR2', DRIVE_VOLTS, BATTERY_OHM, now),
    branch('relay', 'AC1', joints.relayFeed),
    branch('AC1', 'AC2', state.due ? joints.armContact : OPEN),
    branch('AC2', 'DR1', joints.lampProvingContact),
    branch('DR1', 'DR2', COIL_OHM),
  ]
}

/** A unit at the box that watches the line, and has a feed of its own. */
function indicationUnit({ joints }: World, now: DirectState): Element[] {
  return [
    ...battery('unit', 'IU2', LINE_VOLTS, BATTERY_OHM, now),
    branch('unit', 'IU1', joints.unitFeed),
    branch('IU1', 'IU2', BLEED_OHM),
    branch('H1', 'IU3', GOOD),
    branch('H2', 'IU4', GOOD),
    branch('IU3', 'IU4', 1e5),
  ]
}

function drive(world: World, state: State, now: DirectState): Element[] {
  const { joints, site } = world
  const made = (state.due && relayPicked(world)) || joints.driveHeld || !site.signal
  return [
    ...battery('drive', 'J0', DRIVE_VOLTS, BATTERY_OHM, now),
    branch('drive', 'J1', joints.driveFeed),
    branch('J1', 'J2', made ? joints.driveContact : OPEN),
    branch('J2', 'D1~', joints.driveWire, 'drive wire'),
    ...joint('D1', state),
    branch('D1', 'D2', moduleIn(world, state) ? DRIVE_OHM : OPEN),
    branch('D2', 'J0', joints.driveReturn),
    ...(joints.strayDrive === null ? [] : battery('D1', 'J0', joints.strayDrive, 20, now)),
  ]
}

function proving(world: World, state: State, now: DirectState): Element[] {
  const { joints } = world
  const made = now.proving && moduleIn(world, state)
  return [
    ...battery('proving', 'PR0', PROVING_VOLTS, BATTERY_OHM, now),
    branch('proving', 'Q1', joints.provingFeed),
    branch('Q1', 'Q2', joints.provingLink),
    branch('Q2', 'PR1~', joints.provingWire),
    ...joint('PR1', state),
    branch('PR1', 'PR2', made ? joints.provingContact : OPEN),
    ...joint('PR2', state),
    branch('PR2~', 'R1', joints.betweenCases),
    branch('PR0', 'R0', GOOD),
    branch('R1', 'R0', COIL_OHM),
    ...(joints.strayProving === null ? [] : battery('R1', 'R0', joints.strayProving, 20, now)),
  ]
}

function line({ joints, site }: World, state: State, now: DirectState): Element[] {
  const core = coreOhmPerMetre(site.lineSize, site.celsius) * site.lineLength
  const made = now.repeater || joints.repeaterStuck
  return [
    ...battery('line', 'L2', LINE_VOLTS, BATTERY_OHM, now),
    branch('line', 'K1', joints.repeaterFeed),
    branch('K1', 'K2', made ? joints.repeaterContact : OPEN),
    branch('K2', 'L1', GOOD),
    ...['L1', 'L2', 'H1', 'H2'].flatMap(terminal => joint(terminal, state)),
    branch('L1~', 'H1~', core + joints.lineCore),
    branch('L2~', 'H2~', core),
    branch('H1', 'H2', joints.lamp),
    branch('H1~', 'H2~', joints.lineBridge),
    branch('L1~', EARTH, joints.lineLeak),
  ]
}
