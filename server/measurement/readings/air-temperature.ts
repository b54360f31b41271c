// The air temperature stored with a fault: a number of °C, written so that it can be parsed again.

/**
 * Colder and warmer air was never measured: −89.2 °C and 56.7
 * °C (World Meteorological Organization, extremes).
 */
const coldest = -90
const warmest = 57

/** Why a number of °C cannot be the air's, or null. */
export function temperatureProblem(celsius: number): string | null {
  if (celsius >= coldest && celsius <= warmest) return null
  return `${celsius} °C is no temperature of the air`
}

/** "-4 °C", "12.5 °C". */
export function temperatureWords(celsius: number): string {
  return `${celsius === 0 ? 0 : celsius} °C`
}

/** The number of what `temperatureWords` wrote, in °C; null for other words. */
export function readTemperature(words: string): number | null {
  const match = /^(-?\d+(?:\.\d+)?) °C$/.exec(words)
  return match ? Number(match[1]) : null
}
