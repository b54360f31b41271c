// A fault hidden at a position of which some is given, with the same equipment beside it as it was before.

import type { Site, World } from '../circuit/world.ts'
import { FAULTS } from './causes.ts'
import type { Chance } from './chance.ts'
import { drawSite } from './positions.ts'
import { shows, tell } from './symptoms.ts'
import { type Hidden, healthyAt } from './worlds.ts'

/** What was hidden, with the equipment as it was before anything was wrong with it. */
export type HiddenAt = Hidden & { sound: World }

/** How often a cause is drawn anew until it shows itself as the symptom. */
const TRIES = 40

/** As `hide`, at a position with what is `wanted` of it; null also where the cause can't be at such a position. */
export function hideAt(wanted: Partial<Site>, tree: string, cause: string, chance: Chance): HiddenAt | null {
  const fault = FAULTS.get(cause)
  if (!fault) throw new RangeError(`There is no fault for the cause ${cause}.`)
  const slug = cause.split('/')[1] ?? ''
  for (let turn = 0; turn < TRIES; turn++) {
    const world = healthyAt({ ...drawSite(chance), ...wanted }, chance)
    const before = structuredClone(world)
    fault(world, chance)
    tell(tree, world, slug, chance)
    if (!agrees(world.site, wanted)) continue
    const state = shows(tree, world, slug)
    if (state) return { world, state, cause, tree, sound: { ...before, site: { ...world.site } } }
  }
  return null
}

/** Some causes are only at positions of one kind, and make the position so. */
function agrees(site: Site, wanted: Partial<Site>): boolean {
  const has = new Map(Object.entries(site))
  return Object.entries(wanted).every(([name, value]) => has.get(name) === value)
}
