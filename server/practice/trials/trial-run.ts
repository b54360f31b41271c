// Many faults of many depots, each walked by the tree's order and by the suggestions.

import { outsideKey } from '../../diagnosis/ranking/cause-counts.ts'
import type { Knowledge } from '../../knowledge/types.ts'
import type { Chance } from '../chance.ts'
import { hide, hideTogether } from '../worlds.ts'
import { type Candidates, candidatesOf, type Depot, drawDepot } from './depot.ts'
import { type TrialFault, type TrialWalk, trialWalk } from './trial-walk.ts'
import type { TrialWorld } from './trial-worlds.ts'

export interface Tried {
  world: string
  tree: string
  /** The cause is one that a row of the tree leads to. */
  foreseen: boolean
  /** What the fault counts for: unforeseen ones are tried more often than they occur. */
  weight: number
  author: TrialWalk
  suggestions: TrialWalk
}

export interface TrialSetting {
  knowledge: Knowledge
  worlds: readonly TrialWorld[]
  /** One depot, and one fault of each kind, for each. */
  seeds: readonly number[]
  /** The trees whose symptom is reported, in turn. */
  trees: readonly string[]
  chanceOf: (seed: string) => Chance
}

/** Every world with every seed. The same setting gives the same result. */
export function runTrials(setting: TrialSetting): Tried[] {
  const candidates = new Map(
    setting.trees.map(tree => [
      tree,
      candidatesOf(setting.knowledge, tree, setting.chanceOf(`seen ${tree}`)),
    ]),
  )
  return setting.worlds.flatMap(world =>
    setting.seeds.flatMap(seed => trialsOf(setting, world, seed, candidates)),
  )
}

function trialsOf(
  { knowledge, trees, chanceOf }: TrialSetting,
  world: TrialWorld,
  seed: number,
  candidates: Map<string, Candidates>,
): Tried[] {
  const chance = chanceOf(`${world.name} ${seed}`)
  const tree = trees[seed % trees.length] ?? ''
  const causes = candidates.get(tree)
  if (!causes || causes.foreseen.length === 0) return []
  const depot = drawDepot(causes, world, chance)
  const kinds = world.unforeseen > 0 && depot.unforeseen.length > 0 ? [true, false] : [true]
  return kinds.flatMap(foreseen => {
    const fault = drawFault(tree, depot, world, foreseen, chance)
    if (!fault) return []
    const walked = (follows: 'author' | 'suggestions') =>
      trialWalk(knowledge, fault, follows, chanceOf(`${world.name} ${seed} ${foreseen} walk`))
    const weight = kinds.length === 1 ? 1 : foreseen ? 1 - world.unforeseen : world.unforeseen
    const both = { author: walked('author'), suggestions: walked('suggestions') }
    return [{ world: world.name, tree, foreseen, weight, ...both }]
  })
}

function drawFault(
  tree: string,
  depot: Depot,
  world: TrialWorld,
  foreseen: boolean,
  chance: Chance,
): TrialFault | null {
  const list = foreseen ? depot.foreseen : depot.unforeseen
  const draw = () => chance.weighted(list, ({ weight }) => weight).cause
  const first = draw()
  const second = world.faults === 2 ? draw() : first
  const hidden =
    (second === first ? null : hideTogether(tree, [first, second], chance, 40)) ?? hide(tree, first, chance)
  if (!hidden) return null
  const causes = foreseen ? [first, second] : [outsideKey]
  return { hidden, causes, history: depot.history, world }
}
