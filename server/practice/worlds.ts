// Faults drawn at random: a position, a cause of what a tree can reach, how hard and where it is.

import { healthyWorld, type Site, type State, type World } from '../circuit/world.ts'
import { causeKey, reachable } from '../knowledge/graph.ts'
import type { Cause, Knowledge } from '../knowledge/types.ts'
import { FAULTS, type Fault } from './causes.ts'
import type { Chance } from './chance.ts'
import { drawSite } from './positions.ts'
import { shows, tell } from './symptoms.ts'

export interface Hidden {
  world: World
  /** As the technician finds it. */
  state: State
  /** `equipment/cause` */
  cause: string
  tree: string
}

/** How often a cause is drawn anew until it shows itself as the symptom. */
const TRIES = 40

/** A cause of a tree, in a world that shows the tree's symptom; null where it never did. Throws for an unknown cause. */
export function hide(tree: string, cause: string, chance: Chance): Hidden | null {
  return hideTogether(tree, [cause], chance, TRIES)
}

/** As `hide`, with several causes in one world, the symptom told as that of the first; `tries` worlds at most. */
export function hideTogether(
  tree: string,
  causes: [string, ...string[]],
  chance: Chance,
  tries: number,
): Hidden | null {
  const faults = causes.map(faultOf)
  const [cause] = causes
  const slug = cause.split('/')[1] ?? ''
  for (let turn = 0; turn < tries; turn++) {
    const world = healthyAt(drawSite(chance), chance)
    for (const fault of faults) fault(world, chance)
    tell(tree, world, slug, chance)
    const state = shows(tree, world, slug)
    if (state) return { world, state, cause, tree }
  }
  return null
}

function faultOf(cause: string): Fault {
  const fault = FAULTS.get(cause)
  if (!fault) throw new RangeError(`There is no fault for the cause ${cause}.`)
  return fault
}

/** A position with nothing wrong, as one differs from the next. */
export function healthyAt(site: Site, chance: Chance): World {
  return scattered(healthyWorld(site), chance)
}

/** A cause that a tree can reach, drawn by the shares of its authors, but for those in `without`; null where none is left. */
export function drawCause(
  knowledge: Knowledge,
  tree: string,
  chance: Chance,
  without: ReadonlySet<string> = new Set(),
): Cause | null {
  const found = knowledge.trees.get(tree)
  const causes = found
    ? reachable(knowledge, found).causes.filter(cause => !without.has(causeKey(cause)))
    : []
  return causes.length === 0 ? null : chance.weighted(causes, ({ share }) => share)
}

/** Modest differences between one healthy set and the next. */
function scattered(world: World, chance: Chance): World {
  const { supply, power, module, joints, lines } = world
  const near = (value: number, part: number) => value * chance.between(1 - part, 1 + part)
  supply.volts = chance.between(111, 118)
  power.volts = near(power.volts, 0.015)
  module.load = near(module.load, 0.08)
  module.tap = near(module.tap, 0.04)
  for (const name of ['supplyContact', 'returnContact', 'suppressionContact', 'driveContact'] as const)
    joints[name] = near(joints[name], 0.4)
  for (const line of Object.values(lines)) {
    line.loopOhm = near(line.loopOhm, 0.3)
    line.loopHenry = near(line.loopHenry, 0.005)
  }
  return world
}
