// What is planted in the demo's history, for statistics to find again.

import { createRandom } from '../../statistics/random.ts'

export const positionCount = 110

export interface PlantedTruths {
  /** Positions that keep failing, mostly of one cause. */
  failing: string[]
  /** Positions where the resistance of a contact creeps up from reading to reading. */
  drifting: string[]
  /** Serials of two units that take their fault with them to each position they are fitted at. */
  rogueSerials: string[]
  /** The position whose cable joint fails in the wet, in one season only. */
  wet: string
}

/** The same for the same seed, whatever the day and the knowledge. */
export function plantedTruths(seed: number): PlantedTruths {
  const random = createRandom(`${seed} truths`)
  const [a = '', b = '', c = '', d = '', e = '', f = '', g = '', h = '', wet = ''] = random.shuffled(
    positionIds(),
  )
  const serial = (year: number) => `${year}-${random.whole(1000, 8999)}R`
  return {
    failing: [a, b, c, d, e],
    drifting: [f, g, h],
    rogueSerials: [serial(17), serial(19)],
    wet,
  }
}

/** The last October to December that was over at least a month before `now`. */
export function wetSeason(now: Date): { from: Date; to: Date } {
  const year = now.getUTCFullYear() - (now.getUTCMonth() >= 1 ? 1 : 2)
  return { from: new Date(Date.UTC(year, 9, 1)), to: new Date(Date.UTC(year, 11, 31)) }
}

export function positionIds(): string[] {
  return Array.from({ length: positionCount }, (_, i) => `position-${String(i + 1).padStart(3, '0')}`)
}
