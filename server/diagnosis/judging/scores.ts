// How good forecasts were, once the truth is known.

/** Chances given to several things of which one happened. */
export interface Forecast {
  chances: readonly number[]
  /** Index of what happened. */
  happened: number
}

/**
 * Brier's score in its first form, summed over all classes: mean over the forecasts of Σ (chance − outcome)².
 * 0 is perfect, 2 the worst. (Brier, Monthly Weather Review 78, 1950; for two classes it is twice the
 * one-class form.) null without forecasts.
 */
export function brierScore(forecasts: readonly Forecast[]): number | null {
  if (forecasts.length === 0) return null
  const sum = forecasts.reduce(
    (all, { chances, happened }) =>
      all + chances.reduce((sum, chance, index) => sum + (chance - (index === happened ? 1 : 0)) ** 2, 0),
    0,
  )
  return sum / forecasts.length
}

/** One bar of a calibration plot. */
export interface CalibrationBin {
  from: number
  to: number
  /** Chances given in this range. */
  n: number
  /** Their mean, and how often the thing happened; null when n is 0. */
  predicted: number | null
  observed: number | null
}

/** Every chance of every forecast counts, in bins of equal width; 1 falls in the last. */
export function calibration(forecasts: readonly Forecast[], bins = 10): CalibrationBin[] {
  const sums = Array.from({ length: bins }, () => ({ n: 0, predicted: 0, observed: 0 }))
  for (const { chances, happened } of forecasts) {
    for (const [index, chance] of chances.entries()) {
      const bin = sums[Math.min(bins - 1, Math.max(0, Math.floor(chance * bins)))]
      if (!bin) continue
      bin.n += 1
      bin.predicted += chance
      bin.observed += index === happened ? 1 : 0
    }
  }
  return sums.map(({ n, predicted, observed }, index) => ({
    from: index / bins,
    to: (index + 1) / bins,
    n,
    predicted: n > 0 ? predicted / n : null,
    observed: n > 0 ? observed / n : null,
  }))
}

/**
 * Part of the forecasts in which what happened was among the
 * `most` likeliest; ties count by place in the list.
 */
export function amongFirst(forecasts: readonly Forecast[], most: number): number | null {
  if (forecasts.length === 0) return null
  const hits = forecasts.filter(({ chances, happened }) => {
    const happenedChance = chances[happened] ?? 0
    const rankedAbove = chances.filter(
      (chance, index) => chance > happenedChance || (chance === happenedChance && index < happened),
    ).length
    return rankedAbove < most
  })
  return hits.length / forecasts.length
}
