import type { Random } from '../statistics/random.ts'

/** Chance that the caller seeds: what worlds and instrument errors are drawn with. */
export type Chance = Omit<Random, 'normal' | 'shuffled'>

/** Between two values that lie decades apart, each decade alike. */
export function decades(chance: Chance, low: number, high: number): number {
  return Math.exp(chance.between(Math.log(low), Math.log(high)))
}
