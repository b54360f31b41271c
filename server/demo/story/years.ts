/** How many years the demo's history goes back. */
export const YEARS = 3
export const DAY = 86_400_000
