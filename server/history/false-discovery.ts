// Looking at thousands of positions, some look bad by luck.
// Benjamini & Hochberg (1995), J. R. Statist. Soc. B 57:289–300.

/**
 * The chances adjusted for how many were looked at, in the order given: an entry is a discovery at rate q
 * when its adjusted chance is at most q. Of all discoveries, a share q at most is then expected to be luck.
 */
export function adjustForMany(chances: ArrayLike<number>): Float64Array {
  const n = chances.length
  const order = Uint32Array.from({ length: n }, (_, i) => i)
  order.sort((a, b) => (chances[a] ?? 1) - (chances[b] ?? 1))
  const adjusted = new Float64Array(n)
  let least = 1
  for (let rank = n; rank >= 1; rank--) {
    const i = order[rank - 1] ?? 0
    least = Math.min(least, ((chances[i] ?? 1) * n) / rank)
    adjusted[i] = least
  }
  return adjusted
}

/**
 * The rows that stand out among all of them at false-discovery
 * rate q, least likely first; null chances take no part.
 */
export function standOut<Row>(
  rows: readonly Row[],
  chanceOf: (row: Row) => number | null,
  q: number,
): { row: Row; chance: number; adjusted: number }[] {
  const tested = rows.flatMap(row => {
    const chance = chanceOf(row)
    return chance === null ? [] : [{ row, chance }]
  })
  const adjusted = adjustForMany(tested.map(t => t.chance))
  return tested
    .map((t, i) => ({ ...t, adjusted: adjusted[i] ?? 1 }))
    .filter(t => t.adjusted <= q)
    .sort((a, b) => a.chance - b.chance)
}
