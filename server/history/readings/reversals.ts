import { normalCdf } from '../../statistics/normal.ts'

export interface ReversalChances {
  atMost: number
  atLeast: number
}

/** Chances of at most and at least this many rising pairs among n values in random order (Mann 1945). */
export function reversalChances(n: number, reversals: number): ReversalChances {
  return n <= mostExact ? exact(n, reversals) : byNormalCurve(new Array(n).fill(1), reversals)
}

/**
 * The same where values are equal: `sizes` is how many there are of each. All orders of the values are equally
 * likely, and equal ones make no rising pair, so that fewer are usual than among values that all differ. Exact up
 * to sixty values: adding a group to m values makes as many pairs as Mann and Whitney's U for the two, which is
 * independent of the pairs among those m. Beyond, the normal curve with the variance of Kendall 1970, Rank
 * Correlation Methods, 4th ed., ch. 4.
 */
export function reversalChancesWithTies(sizes: readonly number[], reversals: number): ReversalChances {
  const n = sizes.reduce((a, b) => a + b, 0)
  if (sizes.every(size => size === 1)) return reversalChances(n, reversals)
  if (n > mostExact) return byNormalCurve(sizes, reversals)
  let chances = new Float64Array([1])
  let before = 0
  for (const size of sizes) {
    chances = convolve(chances, mannWhitney(before, size))
    before += size
  }
  const sum = (part: Float64Array) =>
    Math.min(
      1,
      part.reduce((a, b) => a + b, 0),
    )
  return { atMost: sum(chances.subarray(0, reversals + 1)), atLeast: sum(chances.subarray(reversals)) }
}

/** How many there are of each value. */
export function tieSizes(values: readonly number[]): number[] {
  const counts = new Map<number, number>()
  for (const value of values) counts.set(value, (counts.get(value) ?? 0) + 1)
  return [...counts.values()]
}

const mostExact = 60

/** Chances of U = 0, 1, … m n (Mann & Whitney 1947, Ann. Math. Statist. 18:50–60): the largest value is of one or the other. */
function mannWhitney(m: number, n: number): Float64Array {
  let row = Array.from({ length: m + 1 }, () => new Float64Array([1]))
  for (let j = 1; j <= n; j++) {
    const next = [new Float64Array([1])]
    for (let i = 1; i <= m; i++) {
      const chances = new Float64Array(i * j + 1)
      next[i - 1]?.forEach((chance, u) => {
        chances[u + j] = (chances[u + j] ?? 0) + (chance * i) / (i + j)
      })
      row[i]?.forEach((chance, u) => {
        chances[u] = (chances[u] ?? 0) + (chance * j) / (i + j)
      })
      next.push(chances)
    }
    row = next
  }
  return row[m] ?? new Float64Array([1])
}

function convolve(a: Float64Array, b: Float64Array): Float64Array<ArrayBuffer> {
  const sum = new Float64Array(a.length + b.length - 1)
  a.forEach((x, i) => {
    b.forEach((y, j) => {
      sum[i + j] = (sum[i + j] ?? 0) + x * y
    })
  })
  return sum
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
function exact(n: number, reversals: number): ReversalChances {
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

function byNormalCurve(sizes: readonly number[], reversals: number): ReversalChances {
  const n = sizes.reduce((a, b) => a + b, 0)
  const equalPairs = sizes.reduce((sum, t) => sum + (t * (t - 1)) / 2, 0)
  const mean = ((n * (n - 1)) / 2 - equalPairs) / 2
  const lessForTies = sizes.reduce((sum, t) => sum + t * (t - 1) * (2 * t + 5), 0)
  const spread = Math.sqrt((n * (n - 1) * (2 * n + 5) - lessForTies) / 72)
  if (spread === 0) return { atMost: 1, atLeast: 1 }
  return {
    atMost: normalCdf((reversals + 0.5 - mean) / spread),
    atLeast: normalCdf((mean - reversals + 0.5) / spread),
  }
}
