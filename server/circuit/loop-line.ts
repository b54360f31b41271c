// One cable with its loop: a ladder of short sections, each with the resistance and inductance of its length in series
// and its capacitance across; and the channel of the transmitter that drives it.

import { coreOhmPerMetre, PAIR_FARAD_PER_METRE, PAIR_HENRY_PER_METRE, SOUND_OHM_METRES } from './copper.ts'
import { branch, joint } from './mains.ts'
import { type Complex, EARTH, type Element, solve } from './network.ts'
import {
  asFound,
  healthyWorld,
  type Line,
  type LineName,
  type Site,
  type State,
  type World,
} from './world.ts'

/** Longest section, m: a seventieth of a wavelength of the tones on the cable, and less. */
const LONGEST = 38
const MOST_SECTIONS = 12
/** Ohms and amperes of a channel: assumed for the demonstration. */
const CHANNEL_OHM = 4
export const CHANNEL_AMPERES = 1.1
/** The output winding, for a test of what is dead. */
const WINDING_OHM = 0.4
/** A round wire of the loop has some three times its DC resistance at the tones. Assumed. */
const LOOP_SKIN = 3
/** A test lead. */
const LEAD_OHM = 0.05

export interface Terminals {
  out: string
  back: string
  link: [string, string]
  screen: string
}

export const TERMINALS: Record<LineName, Terminals> = {
  arming: { out: 'A1', back: 'A2', link: ['LA1', 'LA2'], screen: 'SA' },
  trigger: { out: 'T1', back: 'T2', link: ['LT1', 'LT2'], screen: 'ST' },
}

/** The end of a cable's screen in the link box, where a test lead can be put on it. */
export function screenEnd(screen: string): string {
  return `${screen}@link`
}

/**
 * The cable, loop and screen of one line at `hertz`, 0 for DC tests; without its channel. Its nodes are the terminals,
 * and `T~` for the core, loop end or screen at a terminal.
 */
export function lineNetwork(world: World, state: State, name: LineName, hertz: number): Element[] {
  const line = world.lines[name]
  const at = TERMINALS[name]
  const elements = [
    ...joint(at.out, state, `${name} lead`),
    ...joint(at.back, state),
    branch(at.out, EARTH, line.terminalLeak),
    branch(at.back, EARTH, 1e10),
    ...cable(world.site, line, at, hertz),
    ...loopAt(line, at, state, hertz),
    ...(state.testLoop.has(name) ? [testLoop(at, hertz)] : []),
    ...screenAt(line, at, state),
  ]
  const here = new Set(elements.flatMap(element => ('from' in element ? [element.from, element.to] : [])))
  const leads = state.leads.filter(([a, b]) => here.has(a) && here.has(b))
  return [...elements, ...leads.map(([a, b]) => branch(a, b, LEAD_OHM))]
}

/** A known good loop in the place of the one at the link box. */
function testLoop({ link }: Terminals, hertz: number): Element {
  const { loopOhm, loopHenry } = healthyWorld().lines.arming
  return series(...link, loopOhm * (hertz > 0 ? LOOP_SKIN : 1), loopHenry)
}

/** Core 1 and core 2 at junction `k`, from the case to the link box. */
function cable(site: Site, line: Line, at: Terminals, hertz: number): Element[] {
  const sections = Math.min(MOST_SECTIONS, Math.max(4, Math.ceil(site.cableLength / LONGEST)))
  const length = site.cableLength / sections
  const ohm = coreOhmPerMetre(site.conductorSize, site.celsius, hertz) * length
  const node = (core: 1 | 2, k: number) =>
    k === 0 ? `${core === 1 ? at.out : at.back}~` : `${at.screen}:${core}:${k}`
  const place = (fraction: number) => Math.min(sections - 1, Math.max(0, Math.round(fraction * sections)))
  const elements: Element[] = []
  for (let k = 0; k < sections; k++) {
    for (const core of [1, 2] as const) {
      const broken = line.broken?.core === core && place(line.broken.at) === k ? line.broken.ohm : 0
      elements.push(
        series(node(core, k), node(core, k + 1), ohm + broken, (PAIR_HENRY_PER_METRE / 2) * length),
      )
    }
    elements.push({
      kind: 'branch',
      from: node(1, k + 1),
      to: node(2, k + 1),
      farad: PAIR_FARAD_PER_METRE * length,
    })
  }
  elements.push(...insulation(site, line, node, place, sections))
  elements.push(branch(node(1, sections), at.link[0], line.tail[0]))
  elements.push(branch(node(2, sections), at.link[1], line.tail[1]))
  return elements
}

function insulation(
  site: Site,
  { bridged, leak }: Line,
  node: (core: 1 | 2, k: number) => string,
  place: (fraction: number) => number,
  sections: number,
): Element[] {
  const sound = SOUND_OHM_METRES / site.cableLength
  const elements = [
    branch(node(1, sections), node(2, sections), sound),
    branch(node(1, sections), EARTH, sound),
  ]
  if (bridged) elements.push(branch(node(1, place(bridged.at)), node(2, place(bridged.at)), bridged.ohm))
  if (leak) elements.push(branch(node(1, place(leak.at)), EARTH, leak.ohm))
  if (leak?.both) elements.push(branch(node(2, place(leak.at)), EARTH, 1.4 * leak.ohm))
  return elements
}

function loopAt(line: Line, at: Terminals, state: State, hertz: number): Element[] {
  const [one, two] = at.link
  const left = Math.max(line.loopLeft, 0.02)
  const ohm = line.loopOhm * left * (hertz > 0 ? LOOP_SKIN : 1)
  return [
    ...[one, two].flatMap(end => (state.lifted.has(end) ? [] : [branch(end, `${end}~`, line.boxLink)])),
    series(`${one}~`, `${two}~`, ohm, line.loopHenry * left ** 2),
    branch(`${one}~`, EARTH, line.loopLeak),
  ]
}

function screenAt(line: Line, at: Terminals, state: State): Element[] {
  return [
    branch(at.screen, EARTH, 0.02),
    ...joint(at.screen, state),
    branch(`${at.screen}~`, screenEnd(at.screen), line.screenOhm),
    branch(screenEnd(at.screen), EARTH, line.screenEarth),
  ]
}

function series(from: string, to: string, ohm: number, henry: number): Element {
  return { kind: 'branch', from, to, ohm, henry }
}

/** Ohms looking from the line terminals into a line of a site in which nothing is wrong. */
function healthyImpedance(site: Site, name: LineName, hertz: number): Complex {
  const world = healthyWorld(site)
  const { out, back } = TERMINALS[name]
  const elements = lineNetwork(world, asFound, name, hertz)
  return solve([...elements, { kind: 'current', from: out, to: back, amperes: 1 }], hertz).volts(out, back)
}

const impedances = new WeakMap<Site, Map<string, Complex>>()

function impedanceOf(site: Site, name: LineName, hertz: number): Complex {
  const known = impedances.get(site) ?? new Map<string, Complex>()
  impedances.set(site, known)
  const key = `${name} ${hertz}`
  const impedance = known.get(key) ?? healthyImpedance(site, name, hertz)
  known.set(key, impedance)
  return impedance
}

/** A resistance with the inductance or capacitance that has this reactance at `hertz`. */
function reactive(from: string, to: string, { re, im }: Complex, hertz: number, name?: string): Element {
  const omega = 2 * Math.PI * hertz
  const part = im >= 0 ? { henry: im / omega } : { farad: -1 / (im * omega) }
  return { kind: 'branch', from, to, ohm: re, ...part, ...(name === undefined ? {} : { name }) }
}

/**
 * The channel that drives a line at its tone: tuned to the sound line when it was put in, and set to give
 * `CHANNEL_AMPERES` there. `tap` 1: as set then. The test load is what the sound line would be.
 */
export function channelNetwork(world: World, state: State, name: LineName, hertz: number): Element[] {
  const { out, back } = TERMINALS[name]
  const impedance = impedanceOf(world.site, name, hertz)
  const volts = CHANNEL_AMPERES * (CHANNEL_OHM + impedance.re) * world.module.tap
  const load = state.testLoad.has(name) ? [reactive(out, back, impedance, hertz, `${name} test load`)] : []
  return [
    { kind: 'source', name: `${name} channel`, from: `${out}+`, to: back, volts, ohm: CHANNEL_OHM },
    reactive(`${out}+`, out, { re: 0, im: -impedance.im }, hertz),
    ...load,
  ]
}

/** The channel as an ohmmeter finds it. */
export function idleChannel(name: LineName): Element[] {
  return [branch(TERMINALS[name].out, TERMINALS[name].back, WINDING_OHM)]
}
