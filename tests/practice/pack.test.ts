// The pack and the world it is walked in belong together; what the robot finds there is counted by the bench
// (`pack-reaches` and those beside it), with these functions and more faults.

import { describe, expect, it } from 'vitest'
import { directNetwork } from '../../server/circuit/direct.ts'
import { lineNetwork, screenEnd } from '../../server/circuit/loop-line.ts'
import { mainsNetwork } from '../../server/circuit/mains.ts'
import { solve } from '../../server/circuit/network.ts'
import { asFound, healthyWorld, someSite } from '../../server/circuit/world.ts'
import { causeKey, reachable } from '../../server/knowledge/graph.ts'
import { FAULTS } from '../../server/practice/causes.ts'
import { look } from '../../server/practice/looks.ts'
import { take } from '../../server/practice/probes.ts'
import { shareOf } from '../../server/practice/results.ts'
import { walkRobot } from '../../server/practice/robot.ts'
import { stateAt, stateFound } from '../../server/practice/state-words.ts'
import { SYMPTOMS } from '../../server/practice/symptoms.ts'
import { hide } from '../../server/practice/worlds.ts'
import { createRandom } from '../../server/statistics/random.ts'
import { ofTrees, report } from '../bench/pack.ts'
import { shippedKnowledge } from '../bench/shared.ts'

const knowledge = shippedKnowledge()

describe('the pack and the world', () => {
  it.each([...knowledge.equipment.keys()])('has a fault for every cause of %s', slug => {
    const causes = [...(knowledge.equipment.get(slug)?.causes.values() ?? [])].map(causeKey)
    expect(causes.filter(cause => !FAULTS.has(cause))).toEqual([])
  })

  it('has a symptom for every tree', () => {
    expect([...knowledge.trees.keys()].filter(tree => !(tree in SYMPTOMS))).toEqual([])
  })

  it.each([...knowledge.equipment.keys()])(
    'has a node for every terminal of %s that may be touched',
    slug => {
      const world = healthyWorld()
      const elements = [
        ...mainsNetwork(world, asFound, { lampOhm: 0, watts: 20, live: true }),
        ...directNetwork(world, asFound, {
          power: 24,
          running: true,
          proving: true,
          repeater: true,
          live: true,
        }),
        ...lineNetwork(world, asFound, 'arming', 0),
        ...lineNetwork(world, asFound, 'trigger', 0),
      ]
      const { has } = solve(elements)
      const terminals = knowledge.equipment.get(slug)?.terminals ?? []
      const missing = terminals.filter(({ name, sealed }) => !sealed && !has(name) && !has(screenEnd(name)))
      expect(missing.map(({ name }) => name)).toEqual([])
    },
  )

  it('hides a fault for some tree for every cause that a tree can reach', () => {
    const reached = new Set(
      [...knowledge.trees.values()].flatMap(tree => reachable(knowledge, tree).causes.map(causeKey)),
    )
    const trees = [...knowledge.trees.values()]
    const never = [...reached].filter(cause => {
      const mine = trees.filter(tree =>
        reachable(knowledge, tree).causes.some(one => causeKey(one) === cause),
      )
      return !mine.some(({ slug }) => hide(slug, cause, createRandom(`some ${cause}`)))
    })
    expect(never).toEqual([])
  })
})

describe('the robot at each check', () => {
  const world = healthyWorld({ ...someSite, indication: 'lamp circuit' })
  const checks = [...knowledge.trees.values()].flatMap(({ checks }) => [...checks.values()])

  it('knows where every check of the pack measures, probes and clamps alike', () => {
    const nowhere = checks.filter(
      check =>
        check.does.kind === 'measure' &&
        !take(check, world, stateAt(check, stateFound(true)), createRandom(check.slug)),
    )
    expect(nowhere.map(({ tree, slug }) => `${tree}#${slug}`)).toEqual([])
  })

  it('has words for every look of the pack', () => {
    const wordless = checks.filter(
      check => check.does.kind === 'observe' && !look(check, world, stateFound(true)).known,
    )
    expect(wordless.map(({ tree, slug }) => `${tree}#${slug}`)).toEqual([])
  })

  it('puts a clamp round the wire of one terminal, and reads two drops as the higher of both', () => {
    const find = (tree: string, slug: string) => {
      const check = knowledge.trees.get(tree)?.checks.get(slug)
      if (!check) throw new Error(`There is no check ${tree}#${slug}.`)
      return check
    }
    const clamp = find('output-dead-drive-present', 'arming-output')
    const taken = take(clamp, world, stateFound(true), createRandom('clamp'))
    expect(taken?.kind === 'value' && taken.value).toBeCloseTo(1.1, 0)
    const drop = find('output-dead-drive-present', 'drop-across-the-supply-contact')
    const filmed = healthyWorld(someSite)
    filmed.joints.returnContact = 100
    const higher = take(drop, filmed, stateFound(true), createRandom('drop'))
    expect(higher?.kind === 'value' && Math.abs(higher.value)).toBeGreaterThan(1)
    const sound = take(drop, healthyWorld(someSite), stateFound(true), createRandom('drop'))
    expect(sound?.kind === 'value' && Math.abs(sound.value)).toBeLessThan(0.05)
  })
})

describe('the robot', () => {
  const trees = ofTrees(knowledge, 2, 'a few')
  const results = trees.flatMap(tree => tree.results)

  it('walks every tree to an end or a cause', () => {
    expect(results.length).toBeGreaterThan(knowledge.trees.size)
    const shares = (['reached', 'open', 'wrong', 'false healthy'] as const).map(one => shareOf(results, one))
    expect(shares.reduce((sum, one) => sum + one, 0)).toBeCloseTo(1, 9)
  })

  it('finds the same for the same seed, and other faults for another', () => {
    const again = ofTrees(knowledge, 2, 'a few')
    expect(report(again)).toEqual(report(trees))
    expect(again).toEqual(trees)
    expect(ofTrees(knowledge, 2, 'others')).not.toEqual(trees)
  })

  it('reads what is there: a fuse holder that does not conduct is found where its voltage stands', () => {
    const cause = 'loop-transmitter/fuse-holder-loose'
    const hidden = hide('supply-absent-or-low', cause, createRandom('a holder'))
    if (!hidden) throw new Error('The holder never showed as a lost supply.')
    const { arrival, path } = walkRobot(knowledge, hidden, createRandom('a walk'))
    expect(arrival).toEqual({ kind: 'cause', cause })
    expect(path.length).toBeGreaterThan(2)
  })

  it('calls nothing healthy, and lays nothing on another cause, in a tree that asks for one reading', () => {
    const cause = 'case-supply/case-fuse-blown'
    for (const seed of ['a', 'b', 'c']) {
      const hidden = hide('case-supply-dead', cause, createRandom(seed))
      if (!hidden) throw new Error('The fuse never showed as a dead case.')
      expect(walkRobot(knowledge, hidden, createRandom(seed)).arrival).toEqual({ kind: 'cause', cause })
    }
  })
})
