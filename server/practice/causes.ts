// Each cause of the pack, and how the equipment is with it. A cause is `equipment/cause` as the pack names it; how hard
// it is, and where, is drawn. Where it has no electrical meaning the world has a sight of it.

import { type Line, type LineName, OPEN, type Sights, type Site, type World } from '../circuit/world.ts'
import { type Chance, decades } from './chance.ts'

/** Changes a world that nothing else is wrong with. */
export type Fault = (world: World, chance: Chance) => void

const sees =
  (sights: Partial<Sights>): Fault =>
  world => {
    Object.assign(world.sights, sights)
  }

function anyLine(world: World, chance: Chance): Line {
  return world.lines[chance.pick<LineName>(['arming', 'trigger'])]
}

/** A position that a signal controls, and whose pair times a train. */
function controlled(site: Site): void {
  Object.assign(site, { signal: true, duty: 'overspeed' })
}

/** One whose failure the signaller is told of. */
function indicated(site: Site): void {
  if (site.indication === 'none')
    Object.assign(site, { signal: true, duty: 'overspeed', indication: 'own lamp' })
}

/** A bad joint, or none at all. */
function badJoint(chance: Chance, low: number, high: number): number {
  return chance.chance(0.4) ? OPEN : decades(chance, low, high)
}

/** Causes with no electrical meaning are only seen. */
const supply: Record<string, Fault> = {
  'supply-fuse-aged': ({ supply }) => {
    supply.fuse = OPEN
  },
  'wrong-supply-fuse-fitted': ({ supply, sights }) => {
    supply.fuse = OPEN
    sights.fuseRating = 'smaller'
  },
  'fuse-holder-loose': ({ supply }, chance) => {
    supply.holder = badJoint(chance, 30, 2000)
  },
  'supply-terminal-loose': ({ supply, sights }, chance) => {
    supply[chance.pick(['feedWire', 'returnWire'] as const)] = badJoint(chance, 40, 2000)
    sights.flickers = 'supply wires'
  },
  'supply-wire-insulation-damaged': ({ supply }, chance) => {
    supply.fuse = OPEN
    supply.wireBridge = decades(chance, 0.2, 2e4)
    supply.wireLeak = decades(chance, 100, 1e6)
  },
  'surge-arrester-shorted': ({ supply, sights }, chance) => {
    supply.fuse = OPEN
    supply.arrester = decades(chance, 0.05, 5)
    sights.arrester = chance.chance(0.85) ? 'burst' : 'whole'
  },
  'power-module-failed': ({ power, supply }, chance) => {
    const how = chance.pick(['dead', 'low', 'shorted'] as const)
    power.volts = how === 'low' ? chance.between(9, 20) : 0
    if (how !== 'shorted') return
    power.inputOhm = decades(chance, 1, 20)
    supply.fuse = OPEN
  },
}

const drive: Record<string, Fault> = {
  'drive-contact-resistance-high': ({ joints, site }, chance) => {
    if (!site.signal) controlled(site)
    joints.driveContact = badJoint(chance, 300, 20_000)
  },
  'drive-wire-loose': ({ joints, sights }, chance) => {
    joints[chance.pick(['driveWire', 'driveReturn'] as const)] = badJoint(chance, 300, 20_000)
    sights.flickers = 'drive wires'
  },
  'drive-feed-missing': ({ joints }, chance) => {
    joints.driveFeed = badJoint(chance, 500, 20_000)
  },
  'drive-link-missing': ({ site, joints, sights }, chance) => {
    Object.assign(site, { signal: false })
    joints.driveContact = badJoint(chance, 500, 20_000)
    if (chance.chance(0.8)) sights.driveLink = 'missing'
  },
  'drive-contact-stuck': ({ joints, sights, site }) => {
    if (!site.signal) controlled(site)
    joints.driveHeld = true
    sights.stopped = 'at proceed'
  },
  'stray-feed-on-the-drive': ({ joints, sights, site }, chance) => {
    if (!site.signal) controlled(site)
    joints.strayDrive = chance.between(16, 25)
    sights.stopped = 'at proceed'
  },
}

const module: Record<string, Fault> = {
  'transmitter-module-failed': ({ module, sights, site }, chance) => {
    const how = chance.pick([
      'arming',
      'trigger',
      'both',
      'both',
      'load',
      'proving',
      'stuck',
      'tone',
    ] as const)
    if (how === 'arming' || how === 'both') module.dead.arming = true
    if (how === 'trigger' || how === 'both') module.dead.trigger = true
    if (how === 'load') module.load = chance.between(0.8, 2.5)
    if (how === 'proving') module.provesNever = true
    if (how === 'tone') module.toneOff = chance.pick([-1, 1]) * chance.between(0.4, 3)
    if (how !== 'stuck') return
    if (!site.signal) controlled(site)
    module.stuckOn = true
    sights.stopped = 'at proceed'
  },
  'transmitter-module-not-home': sees({ latch: 'not home', flickers: 'module' }),
  'film-on-the-module-contacts': ({ joints }, chance) => {
    if (chance.chance(0.5)) joints.supplyContact = decades(chance, 9, 200)
    else joints.suppressionContact = decades(chance, 2500, 100_000)
  },
  'mixed-contact-finishes': ({ module, joints }, chance) => {
    module.variant = 'wrong finish'
    joints.suppressionContact = decades(chance, 2500, 100_000)
  },
  'wrong-transmitter-module-fitted': ({ module, sights }) => {
    module.variant = 'wrong direction or duty'
    sights.stopped = 'other direction'
  },
  'suppression-link-loose': ({ joints, site }, chance) => {
    Object.assign(site, { suppressedBy: 'link' })
    joints.suppressionLink = badJoint(chance, 2500, 100_000)
  },
  'suppression-contact-open': ({ joints, site }) => {
    Object.assign(site, { suppressedBy: 'contact' })
    joints.suppressionLink = OPEN
  },
  'output-telltale-failed': ({ module }) => {
    module.telltaleFails = true
  },
  'module-settings-wrong': ({ module, sights }, chance) => {
    sights.settings = 'different'
    if (chance.chance(0.4)) module.provesNever = true
    else module.tap = chance.between(0.3, 0.6)
  },
  'module-seal-broken': ({ module, sights }, chance) => {
    sights.seal = 'broken'
    module.toneOff = chance.chance(0.5) ? chance.between(0.3, 1) : 0
  },
}

const cables: Record<string, Fault> = {
  'water-in-the-case': (world, chance) => {
    Object.assign(world.sights, { damp: 'wet', dropsOut: 'in the wet' })
    if (chance.chance(0.5)) anyLine(world, chance).terminalLeak = decades(chance, 1e4, 5e5)
  },
  'cable-joint-wet': (world, chance) => {
    world.sights.joint = 'wet'
    leak(anyLine(world, chance), chance)
  },
  'cable-insulation-failed': (world, chance) => leak(anyLine(world, chance), chance),
  'loop-insulation-failed': (world, chance) => {
    anyLine(world, chance).loopLeak = decades(chance, 2e3, 5e5)
  },
  'screen-earthed-at-both-ends': (world, chance) => {
    anyLine(world, chance).screenEarth = decades(chance, 0.1, 50)
    world.sights.screenEnds = 'earthed'
  },
  'cable-sheath-damp': (world, chance) => {
    anyLine(world, chance).screenEarth = decades(chance, 2e4, 5e6)
  },
  'water-in-the-link-box-or-connector': (world, chance) => {
    anyLine(world, chance).leak = { at: 1, ohm: decades(chance, 2e3, 5e5), both: true }
    Object.assign(world.sights, { linkBox: 'water', dropsOut: 'in the wet' })
  },
  'loop-out-of-place': (world, chance) => {
    anyLine(world, chance).loopHenry *= chance.pick([0.6, 0.7, 1.4])
    Object.assign(world.sights, { loop: 'out of place', heightOff: chance.between(0.02, 0.06) })
  },
  'loop-buried-or-fouled': (world, chance) => {
    anyLine(world, chance).loopHenry *= chance.between(0.6, 0.8)
    world.sights.loop = 'fouled'
  },
  'train-stop-loops-out-of-place': ({ site, sights }, chance) => {
    Object.assign(site, { duty: 'train stop', signal: true })
    const off = chance.pick(['spacingOff', 'placeOff'] as const)
    Object.assign(sights, { [off]: chance.between(0.5, 2), stopped: 'below speed', loop: 'moved' })
  },
  'screen-open': (world, chance) => {
    anyLine(world, chance).screenOhm = badJoint(chance, 20, 1000)
    world.sights.screenEnds = chance.chance(0.5) ? 'off' : 'insulated'
  },
  'cable-core-open': (world, chance) => {
    anyLine(world, chance).broken = {
      core: chance.pick([1, 2]),
      at: chance.unit(),
      ohm: badJoint(chance, 8, 500),
    }
  },
  'cable-cores-shorted': (world, chance) => {
    anyLine(world, chance).bridged = { at: chance.unit(), ohm: decades(chance, 0.02, 3) }
  },
  'both-cables-damaged': (world, chance) => {
    for (const line of Object.values(world.lines)) damage(line, chance)
    world.sights.route = 'both'
  },
  'loop-termination-loose': (world, chance) => {
    anyLine(world, chance).tail[chance.pick([0, 1])] = badJoint(chance, 5, 500)
    Object.assign(world.sights, { tails: 'loose', flickers: chance.pick(['line terminals', 'nothing']) })
  },
  'loop-conductor-broken': (world, chance) => {
    anyLine(world, chance).loopOhm = badJoint(chance, 5, 500)
  },
  'loop-fixing-loose': (world, chance) => {
    anyLine(world, chance).loopOhm = badJoint(chance, 5, 500)
    world.sights.loop = 'fixing'
  },
  'loop-cut-or-crushed': (world, chance) => {
    const line = anyLine(world, chance)
    if (chance.chance(0.7)) line.loopOhm = OPEN
    else line.loopLeft = chance.between(0.05, 0.5)
    world.sights.loop = 'cut'
  },
  'loop-shorted': (world, chance) => {
    anyLine(world, chance).loopLeft = chance.between(0.02, 0.5)
  },
  'loops-crossed-over': sees({ loops: 'crossed', stopped: 'below speed' }),
  'loop-or-cable-stolen': (world, chance) => {
    const where = chance.pick(['loop', 'route'] as const)
    Object.assign(world.sights, { [where]: 'gone' })
    for (const line of Object.values(world.lines)) line.loopOhm = OPEN
  },
}

function leak(line: Line, chance: Chance): void {
  line.leak = { at: chance.unit(), ohm: decades(chance, 2e3, 5e5), both: chance.chance(0.5) }
}

function damage(line: Line, chance: Chance): void {
  if (chance.chance(0.5)) line.bridged = { at: chance.unit(), ohm: decades(chance, 0.02, 3) }
  else line.broken = { core: 1, at: chance.unit(), ohm: OPEN }
}

const proving: Record<string, Fault> = {
  'proving-feed-missing': ({ joints }, chance) => {
    joints.provingFeed = badJoint(chance, 800, 20_000)
  },
  'proving-link-loose': ({ joints }, chance) => {
    joints.provingLink = badJoint(chance, 800, 20_000)
  },
  'proving-wire-loose': ({ joints }, chance) => {
    joints.provingWire = badJoint(chance, 800, 20_000)
  },
  'proving-contact-film': ({ joints }, chance) => {
    joints.provingContact = decades(chance, 800, 15_000)
  },
  'proving-held-up-by-the-module': ({ module, site }) => {
    indicated(site)
    module.provesAlways = true
    module.dead.trigger = true
  },
  'stray-feed-on-the-proving': ({ joints, module, site }, chance) => {
    indicated(site)
    joints.strayProving = chance.between(18, 25)
    module.dead.arming = true
  },
}

const work: Record<string, Fault> = {
  'wire-on-the-wrong-terminal': ({ sights, joints }, chance) => {
    const crossed = chance.chance(0.5)
    Object.assign(sights, { wires: crossed ? 'crossed' : 'wrong terminal', lastWork: 'wires' })
    if (!crossed) joints[chance.pick(['driveWire', 'provingWire', 'suppressionLink'] as const)] = OPEN
  },
  'temporary-strap-left': ({ sights, joints, site }) => {
    if (!site.signal) controlled(site)
    Object.assign(sights, { left: 'strap', lastWork: 'wires', stopped: 'at proceed' })
    joints.driveHeld = true
  },
  'loose-wire-left': ({ sights, joints, site }, chance) => {
    if (!site.signal) controlled(site)
    Object.assign(sights, { left: 'loose wire', lastWork: 'wires', stopped: 'at proceed' })
    joints.strayDrive = chance.between(16, 25)
  },
  'loop-spacing-too-short': (world, chance) => {
    if (world.site.duty === 'train stop') controlled(world.site)
    Object.assign(world.sights, { spacingOff: -chance.between(0.5, 3), stopped: 'below speed' })
  },
  'loop-spacing-too-long': (world, chance) => {
    if (world.site.duty === 'train stop') controlled(world.site)
    Object.assign(world.sights, { spacingOff: chance.between(0.5, 3), stopped: 'above speed' })
  },
  'set-speed-out-of-date': ({ site, sights }) => {
    if (site.duty === 'train stop') controlled(site)
    Object.assign(sights, { plan: 'differs', stopped: 'below speed' })
  },
  'spill-over-from-a-neighbouring-road': ({ sights, site }, chance) => {
    if (!site.signal) controlled(site)
    Object.assign(sights, { elsewhere: 'tone', stopped: chance.pick(['at proceed', 'below speed']) })
  },
  'wire-cut-in-the-case': ({ sights, joints }, chance) => {
    sights.wires = 'cut'
    joints[chance.pick(['driveWire', 'provingWire', 'suppressionLink'] as const)] = OPEN
  },
  'case-forced': sees({ lock: 'forced' }),
}

const caseSupply: Record<string, Fault> = {
  'feeding-point-at-fault': ({ supply }, chance) => {
    supply.volts = chance.chance(0.6) ? 0 : chance.between(40, 98)
    supply.extent = 'every case'
  },
  'branch-fuse-blown': ({ supply }) => {
    supply.branchFuse = OPEN
  },
  'feeder-cable-cut': ({ supply }, chance) => {
    supply.feederJoint = OPEN
    supply.extent = chance.pick(['this case', 'beyond one point'])
  },
  'feeder-insulation-failed': ({ supply }, chance) => {
    supply.feederBridge = decades(chance, 0.01, 0.1)
    supply.ohm = 40
    supply.extent = chance.pick(['every case', 'beyond one point'])
  },
  'earth-fault-on-an-outgoing-circuit': (world, chance) => earthed(world, chance, 'circuit'),
  'earth-fault-in-the-case-wiring': (world, chance) => earthed(world, chance, 'case'),
  'case-fuse-blown': ({ supply }) => {
    supply.caseFuse = OPEN
  },
  'transformer-failed': ({ supply }, chance) => {
    supply.windings = badJoint(chance, 8, 500)
  },
  'transformer-tap-wrong': ({ supply, sights }, chance) => {
    sights.tap = 'different'
    supply.ratio = chance.pick([0.78, 0.82, 1.2, 1.25])
  },
  'case-overloaded': ({ supply }, chance) => {
    supply.extraLoad = chance.between(3, 15)
  },
  'feeder-joint-bad': ({ supply }, chance) => {
    supply.feederJoint = decades(chance, 3, 60)
  },
  'case-wiring-joint-bad': ({ supply }, chance) => {
    supply[chance.pick(['caseFeed', 'caseReturn'] as const)] = badJoint(chance, 4, 200)
  },
}

/** An earth on one leg, and the detector that sees it. */
function earthed({ supply, sights }: World, chance: Chance, at: 'circuit' | 'case'): void {
  supply.earth = { leg: chance.pick(['feed', 'return'] as const), ohm: decades(chance, 50, 2e4), at }
  sights.detector = 'alarm'
}

const relay: Record<string, Fault> = {
  'drive-relay-failed': ({ joints, site, sights }) => {
    if (!site.signal) controlled(site)
    joints.driveContact = OPEN
    sights.driveRelay = 'wrong'
  },
  'lamp-proving-contact-open': relayCircuit('lampProvingContact'),
  'arm-or-lever-contact-out-of-adjustment': relayCircuit('armContact'),
  'relay-feed-missing': relayCircuit('relayFeed'),
}

/** A break in the circuit of the drive relay, so that it stays down at danger. */
function relayCircuit(where: 'relayFeed' | 'armContact' | 'lampProvingContact'): Fault {
  return ({ joints, site, sights }, chance) => {
    if (!site.signal) controlled(site)
    joints[where] = badJoint(chance, 2000, 50_000)
    sights.driveRelay = 'wrong'
  }
}

const unit: Record<string, Fault> = {
  'indication-unit-failed': ({ sights, site }, chance) => {
    Object.assign(site, { signal: true, duty: 'overspeed', indication: 'own lamp' })
    Object.assign(sights, { unit: chance.pick(['healthy', 'failure']), unitTest: 'wrong' })
  },
  'feed-of-the-indication-unit-missing': ({ joints, sights }, chance) => {
    joints.unitFeed = badJoint(chance, 1000, 50_000)
    sights.unitTest = 'wrong'
  },
}

const box: Record<string, Fault> = {
  'lid-seal-or-gland-damaged': sees({ linkBoxLid: 'damaged' }),
  'link-in-the-box-loose': (world, chance) => {
    anyLine(world, chance).boxLink = badJoint(chance, 0.5, 50)
    if (chance.chance(0.5)) world.sights.boxLink = 'loose'
  },
}

const loop: Record<string, Fault> = {
  'connector-not-latched-or-tied': sees({ connector: 'loose' }),
  'fixing-or-adapter-of-the-wrong-kind': sees({ fixing: 'wrong' }),
  'frame-insulation-failed': ({ joints }, chance) => {
    joints.frame = decades(chance, 0.1, 50)
  },
}

const changeover: Record<string, Fault> = {
  'main-source-lost': ({ supply }) => Object.assign(supply, { volts: 0, source: 'standby' }),
  'changeover-contacts-failed': ({ supply }, chance) => {
    if (chance.chance(0.5)) supply.source = 'neither'
    else supply.changeover = decades(chance, 20, 2000)
  },
  'changeover-did-not-transfer': ({ supply }, chance) => {
    Object.assign(supply, { volts: 0, source: chance.pick(['main', 'neither']) })
  },
  'changeover-did-not-change-back': ({ supply }) => {
    supply.source = 'standby'
  },
  'battery-exhausted': ({ supply, sights }, chance) => {
    supply.battery.volts = chance.between(8, 19)
    sights.changeover = 'battery alarm'
  },
  'battery-fuse-or-link-open': ({ supply, sights }, chance) => {
    supply.battery.volts = 0
    if (chance.chance(0.5)) Object.assign(supply, { volts: 0, source: 'standby', standby: 0 })
    else sights.changeover = 'battery alarm'
  },
  'charger-failed': ({ supply, sights }, chance) => {
    Object.assign(supply.battery, { volts: chance.between(8, 19), charging: chance.between(8, 19) })
    sights.changeover = 'battery alarm'
  },
}

const detector: Record<string, Fault> = {
  'earth-fault-detector-failed': ({ sights }, chance) => {
    Object.assign(sights, { detector: chance.pick(['alarm', 'healthy']), detectorTest: 'wrong' })
  },
  'earth-lead-of-the-detector-open': ({ supply, sights }, chance) => {
    supply.detectorEarth = badJoint(chance, 5, 5000)
    sights.detectorTest = 'wrong'
  },
  'feed-of-the-detector-open': ({ supply, sights }) => {
    supply.detectorFeed = OPEN
    Object.assign(sights, { detector: 'dark', detectorTest: 'wrong' })
  },
}

const indication: Record<string, Fault> = {
  'repeater-relay-failed': ({ joints, site }) => {
    indicated(site)
    joints.repeaterContact = OPEN
  },
  'repeater-relay-held-up': ({ joints, module, site }) => {
    indicated(site)
    joints.repeaterStuck = true
    module.dead.arming = true
  },
  'proving-wire-between-cases-open': ({ joints }, chance) => {
    joints.betweenCases = badJoint(chance, 900, 20_000)
  },
  'repeater-feed-missing': ({ joints }, chance) => {
    joints.repeaterFeed = badJoint(chance, 300, 5000)
  },
  'line-core-open': ({ joints }, chance) => {
    joints.lineCore = badJoint(chance, 500, 20_000)
  },
  'line-core-leaking': ({ joints }, chance) => {
    joints.lineBridge = decades(chance, 4, 60)
    joints.lineLeak = decades(chance, 1e3, 5e5)
  },
  'indication-lamp-failed': ({ joints }) => {
    joints.lamp = OPEN
  },
  'red-lamp-failed': ({ joints }) => {
    joints.redLamp = OPEN
  },
  'red-lamp-circuit-open': ({ joints }, chance) => {
    joints.redCircuit = badJoint(chance, 600, 20_000)
  },
}

/** Every cause by its key, `equipment/cause`. */
export const FAULTS: ReadonlyMap<string, Fault> = new Map([
  ...keyed('loop-transmitter', { ...supply, ...drive, ...module, ...cables, ...proving, ...work }),
  ...keyed('case-supply', caseSupply),
  ...keyed('failure-indication', indication),
  ...keyed('earth-fault-detector', detector),
  ...keyed('supply-changeover', changeover),
  ...keyed('drive-relay', relay),
  ...keyed('indication-unit', unit),
  ...keyed('link-box', box),
  ...keyed('loop-and-connector', loop),
])

function keyed(equipment: string, faults: Record<string, Fault>): [string, Fault][] {
  return Object.entries(faults).map(([cause, fault]) => [`${equipment}/${cause}`, fault])
}
