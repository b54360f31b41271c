// The equipment as it is, whatever anybody knows of it: one position with its case supply and its failure indication.
// Everything is a plain number or word, so that a fault is a change to a copy.
//
// Names of nodes are those of the terminals. What no instrument can touch is named in small letters.

export type LineName = 'arming' | 'trigger'

/** How the position is laid out; what its record would say where the record is right. */
export interface Site {
  /** Metres, mm², °C of the ground and the copper. */
  cableLength: number
  conductorSize: number
  celsius: number
  feederLength: number
  feederSize: number
  lineLength: number
  lineSize: number
  /** A signal works the drive contact; without one a link stands there. */
  signal: boolean
  indication: 'own lamp' | 'lamp circuit' | 'none'
  /** The suppression path goes over a contact of the controls, or over a link. */
  suppressedBy: 'link' | 'contact'
  direction: 'normal' | 'opposite'
  duty: 'train stop' | 'overspeed' | 'speed restriction' | 'buffer stop'
  /** mph and ms: the pair is set so far apart that the time is that of the speed. */
  setSpeed: number
  timer: number
  /** A, of the fuses on the diagram. */
  supplyFuse: number
  caseFuse: number
  /** A at 110 V that everything else in the case takes. */
  caseLoad: number
}

/** One cable with its loop. Places are fractions of the cable from the case, 0 to 1. */
export interface Line {
  /** Of the first core and of the second; null: whole. Ohms of the break: huge, or a bad joint. */
  broken: { core: 1 | 2; at: number; ohm: number } | null
  /** Core to core. */
  bridged: { at: number; ohm: number } | null
  /** First core to earth, and how much of it the second core has too. */
  leak: { at: number; ohm: number; both: boolean } | null
  /** From the line terminal in the case to earth. */
  terminalLeak: number
  /** Terminations at the link box, ohm, by core. */
  tail: [number, number]
  /** Of the loop itself: ohm, henry, to earth, and how much of the loop a short leaves (1: all of it). */
  loopOhm: number
  /** Ohm of the links in the box, each. */
  boxLink: number
  loopHenry: number
  loopLeak: number
  loopLeft: number
  screenOhm: number
  /** Screen to earth at the far end and along the cable, ohm. */
  screenEarth: number
}

export interface Supply {
  /** V AC of the feeding point and its own ohm. */
  volts: number
  ohm: number
  feederJoint: number
  /** Where the case branches off the feeder. */
  branchFuse: number
  /** Core to core, and first core to earth. */
  feederBridge: number
  feederLeak: number
  /** Secondary over primary; ohm of the windings seen from the secondary. */
  ratio: number
  windings: number
  caseFuse: number
  /** Wiring from the transformer to the busbars: feed and return. */
  caseFeed: number
  caseReturn: number
  /** A more than the diagram says. */
  extraLoad: number
  fuse: number
  holder: number
  feedWire: number
  returnWire: number
  /** Between the wires behind the fuse, and from the feed wire to earth. */
  wireBridge: number
  wireLeak: number
  arrester: number
  /** The changeover before the feeding point: what it is on, ohm of its contact, and V AC of what stands by. */
  source: 'main' | 'standby' | 'neither'
  changeover: number
  standby: number
  /** V DC and ohm at the battery terminals: on its own, and with the charger on. */
  battery: { volts: number; ohm: number; charging: number }
  /** Earth on one leg of the busbars, and what it goes off with; ohm of the detector's feed and of its earth lead. */
  earth: { leg: 'feed' | 'return'; ohm: number; at: 'circuit' | 'case' | 'winding' } | null
  detectorFeed: number
  detectorEarth: number
  /** Two feeds stand side by side: what fell with this case. */
  extent: 'this case' | 'every case' | 'beyond one point'
}

export interface Power {
  /** V DC it holds when fed; null ohm of a healthy input. */
  volts: number
  ohm: number
  /** A at which it gives way. */
  most: number
  inputOhm: number | null
}

export interface Module {
  /** Ohms the module puts on the 24 V side when it runs. */
  load: number
  dead: { arming: boolean; trigger: boolean }
  /** Runs whether or not the drive is there. */
  stuckOn: boolean
  /** kHz off its plan. */
  toneOff: number
  variant: 'right' | 'wrong finish' | 'wrong direction or duty'
  /** V of each output, as set for this cable when it was put in; null: worked out from the healthy line. */
  tap: number
  telltaleFails: boolean
  provesAlways: boolean
  provesNever: boolean
}

/** Contacts, links and wires, in ohms. */
export interface Joints {
  supplyContact: number
  returnContact: number
  suppressionLink: number
  suppressionContact: number
  /** The circuit of the drive relay: its feed, the arm or lever, the lamp-proving contact. */
  relayFeed: number
  armContact: number
  lampProvingContact: number
  driveFeed: number
  driveContact: number
  driveWire: number
  driveReturn: number
  provingFeed: number
  provingLink: number
  provingWire: number
  provingContact: number
  betweenCases: number
  repeaterFeed: number
  repeaterContact: number
  /** The repeater's contact is welded or held: closed with no coil voltage. */
  repeaterStuck: boolean
  lineCore: number
  lineBridge: number
  lineLeak: number
  lamp: number
  /** Feed of an indication unit at the box; frame of a loop to the rail. */
  unitFeed: number
  frame: number
  redLamp: number
  redCircuit: number
  /** What feeds D1, or R1, from elsewhere, V DC; null: nothing. */
  strayDrive: number | null
  strayProving: number | null
  /** The drive contact stays made; or a strap lies across it. */
  driveHeld: boolean
}

/** What is to be seen, asked or heard that no circuit shows. The first of each list is the healthy sight. */
export interface Sights {
  latch: 'home' | 'not home'
  settings: 'as the diagram' | 'different'
  tap: 'as the diagram' | 'different'
  fuseRating: 'as the diagram' | 'smaller' | 'larger'
  arrester: 'whole' | 'burst'
  driveLink: 'fitted' | 'missing'
  driveRelay: 'right' | 'wrong'
  wires: 'right' | 'wrong terminal' | 'cut' | 'crossed'
  left: 'nothing' | 'strap' | 'loose wire'
  seal: 'whole' | 'broken'
  lock: 'sound' | 'forced'
  damp: 'dry' | 'wet'
  joint: 'dry' | 'wet'
  route: 'whole' | 'both' | 'arming' | 'trigger' | 'gone' | 'sheath'
  tails: 'sound' | 'loose'
  loop: 'whole' | 'cut' | 'fixing' | 'gone' | 'moved' | 'fouled' | 'out of place'
  linkBox: 'dry' | 'water'
  linkBoxLid: 'sound' | 'damaged'
  boxLink: 'tight' | 'loose'
  connector: 'latched' | 'loose'
  fixing: 'right' | 'wrong'
  unit: 'healthy' | 'failure'
  unitTest: 'right' | 'wrong'
  screenEnds: 'insulated' | 'earthed' | 'off'
  loops: 'right' | 'crossed'
  /** Metres by which the loops lie further apart than the plan, the pair further from its signal, a loop higher. */
  spacingOff: number
  placeOff: number
  heightOff: number
  plan: 'agrees' | 'differs'
  elsewhere: 'quiet' | 'tone'
  /** What flickers when tapped or moved. */
  flickers: 'nothing' | 'module' | 'supply wires' | 'drive wires' | 'line terminals'
  /** What the changeover panel shows beside the source in use. */
  changeover: 'quiet' | 'battery alarm' | 'none here'
  /** What an earth-fault detector shows, and how its own test goes. */
  detector: 'healthy' | 'alarm' | 'dark'
  detectorTest: 'right' | 'wrong'
  /** Where an earth fault is told. */
  earthTold: 'busbars' | 'feeder'
  lastWork: 'nothing known' | 'module' | 'wires' | 'loops' | 'cables' | 'controls'
  dropsOut:
    | 'never'
    | 'as trains pass'
    | 'as the signal returns'
    | 'in the wet'
    | 'when loads switch'
    | 'no pattern'
  stopped: 'nothing' | 'at proceed' | 'below speed' | 'above speed' | 'other direction'
}

export interface World {
  site: Site
  supply: Supply
  power: Power
  module: Module
  joints: Joints
  lines: Record<LineName, Line>
  sights: Sights
}

/** Ohms of what does not conduct at all, and of a good connection. */
export const OPEN = 1e9
export const GOOD = 0.004

const SOUND = 5e9

/** What a site is when nothing is said of it. */
export const someSite: Readonly<Site> = {
  ...{ cableLength: 120, conductorSize: 2.5, celsius: 12, feederLength: 400, feederSize: 10 },
  ...{ lineLength: 900, lineSize: 1.5, signal: true, indication: 'own lamp', suppressedBy: 'link' },
  ...{ direction: 'normal', duty: 'overspeed', setSpeed: 40, timer: 974 },
  ...{ supplyFuse: 1, caseFuse: 10, caseLoad: 3 },
}

/** Everything in order at a site. Values are the demonstration's own: no real equipment is meant. */
export function healthyWorld(site: Site = someSite): World {
  return {
    site,
    supply: healthySupply(),
    power: { volts: 24, ohm: 0.1, most: 8, inputOhm: null },
    module: healthyModule(),
    joints: healthyJoints(),
    lines: { arming: healthyLine(), trigger: healthyLine() },
    sights: healthySights(),
  }
}

function healthySupply(): Supply {
  return {
    ...{ volts: 114, ohm: 0.05, feederJoint: 0.02, branchFuse: 0.01, feederBridge: SOUND, feederLeak: SOUND },
    ...{ ratio: 1, windings: 0.15, caseFuse: 0.01, caseFeed: 0.01, caseReturn: 0.01, extraLoad: 0 },
    ...{ fuse: 0.1, holder: 0.02, feedWire: 0.03, returnWire: 0.03, wireBridge: SOUND, wireLeak: SOUND },
    ...{ source: 'main', changeover: GOOD, standby: 112, battery: { volts: 25, ohm: 0.01, charging: 27 } },
    ...{ arrester: SOUND, extent: 'this case', earth: null, detectorFeed: GOOD, detectorEarth: GOOD },
  }
}

function healthyModule(): Module {
  return {
    ...{ load: 30, dead: { arming: false, trigger: false }, stuckOn: false, toneOff: 0, variant: 'right' },
    ...{ tap: 1, telltaleFails: false, provesAlways: false, provesNever: false },
  }
}

function healthyJoints(): Joints {
  return {
    ...{ supplyContact: 0.02, returnContact: 0.02, suppressionLink: GOOD, suppressionContact: 0.03 },
    ...{ relayFeed: 0.2, armContact: 0.05, lampProvingContact: 0.05, unitFeed: 0.2, frame: SOUND },
    ...{ driveFeed: 0.2, driveContact: 0.05, driveWire: 0.02, driveReturn: 0.02 },
    ...{ provingFeed: 0.2, provingLink: GOOD, provingWire: 0.02, provingContact: 0.05 },
    ...{ betweenCases: 0.3, repeaterFeed: 0.2, repeaterContact: 0.05, repeaterStuck: false },
    ...{ lineCore: 0, lineBridge: SOUND, lineLeak: SOUND, lamp: 240, redLamp: 480, redCircuit: 0.5 },
    ...{ strayDrive: null, strayProving: null, driveHeld: false },
  }
}

function healthyLine(): Line {
  return {
    ...{
      broken: null,
      bridged: null,
      leak: null,
      terminalLeak: SOUND,
      tail: [0.01, 0.01],
      loopOhm: 0.12,
      loopHenry: 60e-6,
    },
    ...{ boxLink: GOOD, loopLeak: SOUND, loopLeft: 1, screenOhm: 0.3, screenEarth: SOUND },
  }
}

function healthySights(): Sights {
  return {
    ...{ latch: 'home', settings: 'as the diagram', tap: 'as the diagram', fuseRating: 'as the diagram' },
    ...{ arrester: 'whole', driveLink: 'fitted', driveRelay: 'right', wires: 'right', left: 'nothing' },
    ...{ seal: 'whole', lock: 'sound', damp: 'dry', joint: 'dry', route: 'whole', tails: 'sound' },
    ...{
      loop: 'whole',
      screenEnds: 'insulated',
      loops: 'right',
      spacingOff: 0,
      placeOff: 0,
      heightOff: 0,
      linkBox: 'dry',
      linkBoxLid: 'sound',
      boxLink: 'tight',
      connector: 'latched',
      fixing: 'right',
      unit: 'healthy',
      unitTest: 'right',
      plan: 'agrees',
    },
    ...{ changeover: 'quiet', detector: 'healthy', detectorTest: 'right', earthTold: 'busbars' },
    ...{
      elsewhere: 'quiet',
      flickers: 'nothing',
      lastWork: 'nothing known',
      dropsOut: 'never',
      stopped: 'nothing',
    },
  }
}

/** What has been done to it so far: lifted, taken out, fitted, joined; and what the signal asks for. */
export interface State {
  /** Terminals whose outgoing core, wire or screen is off: A1, LA1, S1, D1, PR1 … */
  lifted: ReadonlySet<string>
  out: ReadonlySet<Removable>
  /** Lines whose output goes into the test load, at the case. */
  testLoad: ReadonlySet<LineName>
  /** Lines with a known good loop put on at the link box. */
  testLoop: ReadonlySet<LineName>
  /** Pairs of nodes joined by a test lead. */
  leads: readonly (readonly [string, string])[]
  /** A fuse of the right rating stands in the place of the one that was found. */
  newFuse: boolean
  /** Drive is due: the signal is at danger, or nothing controls it. */
  due: boolean
}

export type Removable = 'supply fuse' | 'transmitter module' | 'power module' | 'surge arrester' | 'charger'

export const asFound: Readonly<State> = {
  ...{ lifted: new Set<string>(), out: new Set<Removable>(), testLoad: new Set<LineName>() },
  ...{ testLoop: new Set<LineName>() },
  ...{ leads: [], newFuse: false, due: true },
}
