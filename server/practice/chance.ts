/** Chance that the caller seeds: what worlds and instrument errors are drawn with. */
export interface Chance {
  /** 0 up to 1. */
  unit(): number
  between(low: number, high: number): number
  /** Both ends included. */
  whole(low: number, high: number): number
  chance(probability: number): boolean
  pick<T>(list: readonly T[]): T
  weighted<T>(list: readonly T[], weight: (item: T) => number): T
}

/** Between two values that lie decades apart, each decade alike. */
export function decades(chance: Chance, low: number, high: number): number {
  return Math.exp(chance.between(Math.log(low), Math.log(high)))
}
