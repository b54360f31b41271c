// Sites, positions and the units fitted there at the start.

import type { Equipment, Knowledge } from '../../knowledge/types.ts'
import { createRandom, type Random } from '../../statistics/random.ts'
import type { NewPosition, Site } from '../../storage/storage.ts'
import { fittingVariants } from '../../walk/fit.ts'
import { plantedTruths, positionIds } from '../story/truths.ts'
import { factsFor } from './facts.ts'
import { demoSites, sitePrefix } from './sites.ts'

export interface DemoUnit {
  kind: string
  serial: string
  variant: string
}

export interface DemoPosition extends NewPosition {
  fitted: DemoUnit[]
}

export interface Railway {
  sites: Site[]
  positions: DemoPosition[]
}

const DAY = 86_400_000

/**
 * About 40 sites with a few positions each, of the kinds of equipment that have fault trees, mostly of the kind that
 * has the most; those in `planted` are of that kind.
 */
export function demoRailway(seed: number, knowledge: Knowledge, now: Date): Railway {
  const random = createRandom(`${seed} railway`)
  const truths = plantedTruths(seed)
  const sites = demoSites(random)
  const kinds = kindsWithTrees(knowledge)
  const main = commonest(kinds)
  const planted = new Set([...truths.failing, ...truths.drifting, truths.wet])
  const signals = new Map<string, number>()
  const positions = positionIds().map((id, i) => {
    const siteIndex = i < sites.length * 2 ? i % sites.length : random.whole(0, sites.length - 1)
    const any = random.weighted(kinds, kind => kind.trees ** 2).equipment
    const equipment = planted.has(id) ? main : any
    const place = { id, siteIndex, siteId: sites[siteIndex]?.id ?? '' }
    return position(place, equipment, signals, random, now)
  })
  return { sites, positions }
}

/** Throws when no equipment has a fault tree. */
function commonest(kinds: { equipment: Equipment; trees: number }[]): Equipment {
  const [first] = kinds.toSorted((a, b) => b.trees - a.trees)
  if (!first) throw new Error('The demo needs a fault tree in the knowledge folder.')
  return first.equipment
}

function kindsWithTrees(knowledge: Knowledge): { equipment: Equipment; trees: number }[] {
  const trees = [...knowledge.trees.values()].filter(tree => tree.kind === 'fault')
  return [...knowledge.equipment.values()]
    .map(equipment => ({ equipment, trees: trees.filter(tree => tree.equipment === equipment.slug).length }))
    .filter(({ trees }) => trees > 0)
}

function position(
  place: { id: string; siteIndex: number; siteId: string },
  equipment: Equipment,
  signals: Map<string, number>,
  random: Random,
  now: Date,
): DemoPosition {
  const facts = factsFor(equipment, random)
  const duty = facts.duty ?? equipment.name.toLowerCase()
  const number = (signals.get(place.siteId) ?? 100 + random.whole(0, 40) * 2) + 2
  signals.set(place.siteId, number)
  const code = `${sitePrefix(place.siteIndex)} ${number}`
  return {
    id: place.id,
    siteId: place.siteId,
    name: positionName(equipment, facts.duty, code),
    equipment: equipment.slug,
    plate: `${code} ${initials(duty)}`,
    indicated: facts.indication === undefined ? random.chance(0.8) : facts.indication !== 'none',
    inService: new Date(now.getTime() - random.whole(1300, 4400) * DAY).toISOString(),
    outOfService: null,
    facts,
    fitted: unitsFor(equipment, facts, random),
  }
}

function positionName(equipment: Equipment, duty: string | undefined, code: string): string {
  if (duty === undefined) return `${equipment.name}, ${code}`
  return `${duty.charAt(0).toUpperCase()}${duty.slice(1)} loops, ${whereabouts(duty)} ${code}`
}

function whereabouts(duty: string): string {
  return duty === 'buffer stop' ? 'buffer stop' : duty === 'speed restriction' ? 'board' : 'signal'
}

function initials(duty: string): string {
  return duty
    .split(' ')
    .map(word => word.charAt(0).toUpperCase())
    .join('')
}

/** One unit of each kind, of a variant that may be fitted at a position with these facts. */
function unitsFor(equipment: Equipment, facts: Record<string, string>, random: Random): DemoUnit[] {
  const kinds = [...new Set(equipment.units.map(unit => unit.kind))]
  return kinds.flatMap(kind => {
    const fitting = fittingVariants(equipment, facts, kind).filter(({ fit }) => fit.ok)
    if (fitting.length === 0) return []
    return [{ kind, serial: newSerial(random), variant: random.pick(fitting).unit.variant }]
  })
}

export function newSerial(random: Random): string {
  return `${random.whole(8, 24).toString().padStart(2, '0')}-${random.whole(10000, 99999)}`
}
