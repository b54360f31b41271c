import { normalCdf } from '../../statistics/normal.ts'

/** Chances of at most and at least this many rising pairs among n values in random order (Mann 1945). */
export function reversalChances(n: number, reversals: number): { atMost: number; atLeast: number } {
  return n <= 60 ? exact(n, reversals) : byNormalCurve(n, reversals)
}

/** Pairs in which the later value is larger, equal ones not counted; by merging sorted halves, O(n log n). */
export function risingPairs(values: readonly number[]): number {
  return sortCounting(Float64Array.from(values), new Float64Array(values.length), 0, values.length)
}

function sortCounting(values: Float64Array, spare: Float64Array, from: number, to: number): number {
  if (to - from < 2) return 0
  const middle = (from + to) >> 1
  let pairs = sortCounting(values, spare, from, middle) + sortCounting(values, spare, middle, to)
  let [left, right] = [from, middle]
  for (let i = from; i < to; i++) {
    const takeLeft = left < middle && (right >= to || (values[left] ?? 0) < (values[right] ?? 0))
    if (takeLeft) pairs += to - right
    spare[i] = values[takeLeft ? left++ : right++] ?? 0
  }
  values.set(spare.subarray(from, to), from)
  return pairs
}

/** The distribution is the same from both ends, so that small upper chances keep their digits. */
function exact(n: number, reversals: number): { atMost: number; atLeast: number } {
  const upTo = chancesUpTo(n)
  const pairs = upTo.length - 1
  return { atMost: Math.min(1, upTo[reversals] ?? 1), atLeast: Math.min(1, upTo[pairs - reversals] ?? 1) }
}

/** The same few lengths come up at every position, so each distribution is worked out once. */
const cache = new Map<number, Float64Array>()

/**
 * Chance of at most 0, 1, 2 … rising pairs. Adding the k-th
 * value makes 0 … k − 1 new pairs, each number equally likely.
 */
function chancesUpTo(n: number): Float64Array {
  const cached = cache.get(n)
  if (cached !== undefined) return cached
  let chances = new Float64Array([1])
  for (let k = 2; k <= n; k++) {
    const next = new Float64Array(chances.length + k - 1)
    let running = 0
    for (let r = 0; r < next.length; r++) {
      running += (chances[r] ?? 0) - (chances[r - k] ?? 0)
      next[r] = Math.max(0, running / k)
    }
    chances = next
  }
  const upTo = new Float64Array(chances.length)
  chances.forEach((chance, r) => {
    upTo[r] = chance + (upTo[r - 1] ?? 0)
  })
  cache.set(n, upTo)
  return upTo
}

function byNormalCurve(n: number, reversals: number): { atMost: number; atLeast: number } {
  const mean = (n * (n - 1)) / 4
  const spread = Math.sqrt((n * (n - 1) * (2 * n + 5)) / 72)
  return {
    atMost: normalCdf((reversals + 0.5 - mean) / spread),
    atLeast: normalCdf((mean - reversals + 0.5) / spread),
  }
}
