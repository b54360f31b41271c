/**
 * The known name nearest to a misspelt one, or null when none is near enough to be worth offering. Distance
 * is Damerau's (optimal string alignment): letters added, dropped, changed, or swapped with their neighbour.
 * `nearestName('suply', ['supply', 'drive'])` is `'supply'`.
 */
export function nearestName(wanted: string, names: Iterable<string>): string | null {
  const name = wanted.trim().toLowerCase().slice(0, LONGEST)
  let best: string | null = null
  let bestDistance = Math.max(1, Math.floor(name.length / 3)) + 1
  for (const candidate of names) {
    const lower = candidate.toLowerCase().slice(0, LONGEST)
    if (Math.abs(lower.length - name.length) >= bestDistance) continue
    const distance = editDistance(name, lower)
    if (distance < bestDistance) {
      best = candidate
      bestDistance = distance
    }
  }
  return best
}

/**
 * `nearestName` for one run of a check: after `most` hints it gives none, so that a file full of mistakes
 * stays cheap. The thousandth hint helps no reader.
 */
export function hinter(most = 50): typeof nearestName {
  let left = most
  return (wanted, names) => (left-- > 0 ? nearestName(wanted, names) : null)
}

/** Names longer than this are compared by their beginning, so that hostile input stays cheap. */
const LONGEST = 80

/** Number of single-letter edits and swaps of neighbours between two words. */
export function editDistance(a: string, b: string): number {
  const width = b.length + 1
  let older = new Array<number>(width).fill(0)
  let previous = Array.from({ length: width }, (_, column) => column)
  let current = new Array<number>(width).fill(0)
  for (let row = 1; row <= a.length; row++) {
    current[0] = row
    for (let column = 1; column < width; column++) {
      const change = (previous[column - 1] ?? 0) + (a[row - 1] === b[column - 1] ? 0 : 1)
      const cost = Math.min(change, (previous[column] ?? 0) + 1, (current[column - 1] ?? 0) + 1)
      const swapped = row > 1 && a[row - 1] === b[column - 2] && a[row - 2] === b[column - 1]
      current[column] = swapped ? Math.min(cost, (older[column - 2] ?? 0) + 1) : cost
    }
    const spare = older
    older = previous
    previous = current
    current = spare
  }
  return previous[b.length] ?? 0
}
