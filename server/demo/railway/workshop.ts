// What the workshop found in the units that were taken out for a fault.

import { createRandom, type Random } from '../../statistics/random.ts'
import type { Storage } from '../../storage/storage.ts'
import { plantedTruths } from '../story/truths.ts'
import { DAY } from '../story/years.ts'
import { engineers } from './people.ts'

type Result = 'tested good' | 'repaired' | 'scrapped'

/** Most are mended. A unit that carries its fault is tested good every time: it shows nothing on the bench. */
export function writeWorkshop(storage: Storage, { seed, now }: { seed: number; now: Date }): void {
  const stays = storage.history.stays()
  const names = storage.history.unitNames([...new Set(stays.map(stay => stay.unitId))])
  const rogues = plantedTruths(seed).rogueSerials
  for (const [i, { unitId, removedMs, removedFor }] of stays.entries()) {
    if (removedMs === null || removedFor === null) continue
    const random = createRandom(`${seed} workshop ${unitId} ${removedMs}`)
    const next = stays.slice(i + 1).find(stay => stay.unitId === unitId)?.fittedMs ?? Infinity
    const at = Math.min(removedMs + random.between(4, 30) * DAY, (removedMs + next) / 2)
    const carries = rogues.some(serial => names.get(unitId)?.endsWith(` ${serial}`))
    const result = carries ? 'tested good' : anyResult(random)
    // Some results come late, and some never.
    if (at > now.getTime() || (!carries && random.chance(0.12))) continue
    const by = random.pick(engineers).id
    const visit = {
      id: `workshop-${unitId}-${removedMs}`,
      unitId,
      by,
      result,
      words: random.pick(said[result]),
    }
    storage.workshopVisits.add({ ...visit, at: new Date(at).toISOString() })
  }
}

function anyResult(random: Random): Result {
  return random.weighted([...shares], ([, share]) => share)[0]
}

const shares = new Map<Result, number>([
  ['repaired', 74],
  ['tested good', 14],
  ['scrapped', 12],
])

const said: Record<Result, string[]> = {
  'tested good': [
    'An hour on the bench, nothing found.',
    'All values in range, cold and warm. Returned to stores.',
    'Nothing found. Returned to stores.',
  ],
  repaired: [
    'Mended and tested.',
    'Cracked joint found and remade.',
    'Failed component changed, tested warm.',
  ],
  scrapped: ['Beyond repair.', 'Burnt, not worth mending.'],
}
