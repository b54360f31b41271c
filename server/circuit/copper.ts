// What a cable is made of, for the model alone: it shares no formula with the limits a reading is held against.

/** Resistivity of annealed copper at 20 °C, ohm mm²/m: 1/58, the International Annealed Copper Standard of 1913. */
const RESISTIVITY = 1 / 58
/** Its change for each degree, at 20 °C (the same standard). */
const PER_DEGREE = 0.00393
/** Permeability of free space, H/m. */
const MU = 4e-7 * Math.PI

/**
 * Ohms of one metre of one core. `area` mm², `celsius` its temperature; at `hertz` above 0 with the skin effect of a
 * round wire, by the ring one skin depth deep that carries the current (value from memory, within some 10 %).
 */
export function coreOhmPerMetre(area: number, celsius: number, hertz = 0): number {
  const resistivity = RESISTIVITY * (1 + PER_DEGREE * (celsius - 20))
  if (hertz === 0) return resistivity / area
  const radius = Math.sqrt(area / Math.PI)
  const depth = 1000 * Math.sqrt((resistivity * 1e-6) / (Math.PI * hertz * MU))
  const core = Math.max(0, radius - depth)
  return resistivity / (Math.PI * (radius ** 2 - core ** 2))
}

/** Of the two cores of a pair together, for each metre of cable. Assumed for the demonstration: no public figure. */
export const PAIR_HENRY_PER_METRE = 0.6e-6
export const PAIR_FARAD_PER_METRE = 50e-12
/** Core to core, and core to screen or earth, of sound insulation: ohm metres. Assumed. */
export const SOUND_OHM_METRES = 2e12
