import { normalBelow } from './distributions/normal.ts'

/** Chances of at most and at least this many rising pairs among n values in random order (Mann 1945). */
export function reversalChances(n: number, reversals: number): { atMost: number; atLeast: number } {
  return n <= 60 ? exact(n, reversals) : byNormalCurve(n, reversals)
}

/** Adding the k-th value makes 0 … k − 1 new pairs, each number equally likely. */
function exact(n: number, reversals: number): { atMost: number; atLeast: number } {
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
  const sum = (from: number, to: number) => chances.slice(from, to).reduce((a, b) => a + b, 0)
  return { atMost: Math.min(1, sum(0, reversals + 1)), atLeast: Math.min(1, sum(reversals, chances.length)) }
}

function byNormalCurve(n: number, reversals: number): { atMost: number; atLeast: number } {
  const mean = (n * (n - 1)) / 4
  const spread = Math.sqrt((n * (n - 1) * (2 * n + 5)) / 72)
  return {
    atMost: normalBelow((reversals + 0.5 - mean) / spread),
    atLeast: normalBelow((mean - reversals + 0.5) / spread),
  }
}
