// The readings of one check at one position, cut where
// something was changed, as the two sides do not compare.

export interface SeriesReading {
  atMs: number
  /** In the base unit; null for "open" or "none", which leave a gap. */
  value: number | null
  /** The limit as it was then, in the same unit. */
  min: number | null
  max: number | null
}

export interface Break {
  atMs: number
  /** What was done: "power module changed, 0113 out, 0207 in". */
  words: string
}

export interface Segment {
  readings: SeriesReading[]
  /** What began it; null for the first. */
  after: Break | null
}

/**
 * Readings in order of time, cut at every break that falls between two of them; empty stretches are dropped.
 */
export function cutAtBreaks(readings: readonly SeriesReading[], breaks: readonly Break[]): Segment[] {
  const cuts = breaks.toSorted((a, b) => a.atMs - b.atMs)
  const segments: Segment[] = [{ readings: [], after: null }]
  let next = 0
  for (const reading of readings.toSorted((a, b) => a.atMs - b.atMs)) {
    for (let cut = cuts[next]; cut !== undefined && cut.atMs <= reading.atMs; cut = cuts[++next])
      segments.push({ readings: [], after: cut })
    segments.at(-1)?.readings.push(reading)
  }
  return segments.filter(segment => segment.readings.length > 0)
}

/** Times in days from the first, and values, of the readings that are numbers. */
export function numbersOf(readings: readonly SeriesReading[]): {
  fromMs: number
  days: number[]
  values: number[]
} {
  const numbers = readings.filter(reading => reading.value !== null)
  const fromMs = numbers[0]?.atMs ?? 0
  return {
    fromMs,
    days: numbers.map(reading => (reading.atMs - fromMs) / 86_400_000),
    values: numbers.map(reading => reading.value ?? 0),
  }
}
