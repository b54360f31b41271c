// What the trials gave when they were last run in full, by `npm run bench -- --only minutes-robust`, which prints them.

/** A figure with its 95 % limits; null where the world has no case of it. */
export type Shown = readonly [value: number, low: number, high: number] | null

export interface TrialResult {
  minutes: Shown
  calibration: Shown
  confidentlyWrong: Shown
  confidentAndRight: Shown
  unknownNoticed: Shown
  unknownFalseAlarm: Shown
  reached: Shown
  reachedByAuthor: Shown
}

/** Faults tried in each world, each walked by the suggestions and by the tree's order. */
export const TRIED_EACH = 200
/** ISO date on which they were run, on the trees that come with the program. */
export const TRIED_ON = '2026-11-28'

/** By the name of the world. */
export const TRIAL_RESULTS: Readonly<Record<string, TrialResult>> = {
  'Nothing amiss': {
    minutes: [1.044, 0.972, 1.132],
    calibration: [0.073, 0.048, 0.112],
    confidentlyWrong: [0, 0, 0.019],
    confidentAndRight: [0.515, 0.446, 0.583],
    unknownNoticed: null,
    unknownFalseAlarm: [0.085, 0.054, 0.132],
    reached: [0.905, 0.856, 0.938],
    reachedByAuthor: [0.955, 0.917, 0.976],
  },
  'Other shares': {
    minutes: [1.103, 1.018, 1.205],
    calibration: [0.026, 0.024, 0.072],
    confidentlyWrong: [0.01, 0.003, 0.036],
    confidentAndRight: [0.54, 0.471, 0.608],
    unknownNoticed: null,
    unknownFalseAlarm: [0.09, 0.058, 0.138],
    reached: [0.91, 0.862, 0.942],
    reachedByAuthor: [0.955, 0.917, 0.976],
  },
  'Scattered readings': {
    minutes: [1.054, 0.975, 1.146],
    calibration: [0.051, 0.038, 0.103],
    confidentlyWrong: [0.03, 0.014, 0.064],
    confidentAndRight: [0.49, 0.422, 0.559],
    unknownNoticed: null,
    unknownFalseAlarm: [0.135, 0.094, 0.189],
    reached: [0.83, 0.772, 0.876],
    reachedByAuthor: [0.94, 0.898, 0.965],
  },
  'One slip in twenty': {
    minutes: [1.074, 0.986, 1.198],
    calibration: [0.117, 0.069, 0.162],
    confidentlyWrong: [0.08, 0.05, 0.126],
    confidentAndRight: [0.45, 0.383, 0.519],
    unknownNoticed: null,
    unknownFalseAlarm: [0.175, 0.129, 0.234],
    reached: [0.8, 0.739, 0.85],
    reachedByAuthor: [0.81, 0.75, 0.858],
  },
  'One slip in ten': {
    minutes: [0.993, 0.894, 1.106],
    calibration: [0.099, 0.064, 0.148],
    confidentlyWrong: [0.09, 0.058, 0.138],
    confidentAndRight: [0.402, 0.336, 0.471],
    unknownNoticed: null,
    unknownFalseAlarm: [0.196, 0.147, 0.257],
    reached: [0.734, 0.668, 0.79],
    reachedByAuthor: [0.744, 0.679, 0.799],
  },
  'Comes and goes': {
    // biome-ignore lint/suspicious/noApproximativeNumericConstant: a figure that was taken, near a root by chance
    minutes: [0.888, 0.707, 1.071],
    calibration: [0.094, 0.056, 0.135],
    confidentlyWrong: [0, 0, 0.019],
    confidentAndRight: [0.05, 0.027, 0.09],
    unknownNoticed: null,
    unknownFalseAlarm: [0.48, 0.412, 0.549],
    reached: [0.45, 0.383, 0.519],
    reachedByAuthor: [0.41, 0.344, 0.479],
  },
  'Two faults at once': {
    minutes: [0.901, 0.822, 0.998],
    calibration: [0.097, 0.067, 0.137],
    confidentlyWrong: [0.03, 0.014, 0.064],
    confidentAndRight: [0.45, 0.383, 0.519],
    unknownNoticed: null,
    unknownFalseAlarm: [0.105, 0.07, 0.155],
    reached: [0.885, 0.833, 0.922],
    reachedByAuthor: [0.975, 0.943, 0.989],
  },
  'Unforeseen causes': {
    minutes: [1.076, 1.002, 1.159],
    calibration: [0.054, 0.032, 0.096],
    confidentlyWrong: [0.019, 0.008, 0.038],
    confidentAndRight: [0.451, 0.383, 0.519],
    unknownNoticed: [0.631, 0.549, 0.706],
    unknownFalseAlarm: [0.092, 0.058, 0.138],
    reached: [0.889, 0.839, 0.926],
    reachedByAuthor: [0.971, 0.936, 0.986],
  },
  'A poor record': {
    minutes: [1.172, 1.069, 1.298],
    calibration: [0.039, 0.031, 0.078],
    confidentlyWrong: [0.01, 0.003, 0.036],
    confidentAndRight: [0.54, 0.471, 0.608],
    unknownNoticed: null,
    unknownFalseAlarm: [0.07, 0.042, 0.114],
    reached: [0.93, 0.886, 0.958],
    reachedByAuthor: [0.975, 0.943, 0.989],
  },
}

export const TRIAL_RESULT_OF_ALL: TrialResult = {
  minutes: [1.04, 1.009, 1.072],
  calibration: [0.047, 0.032, 0.063],
  confidentlyWrong: [0.03, 0.023, 0.038],
  confidentAndRight: [0.432, 0.409, 0.455],
  unknownNoticed: [0.631, 0.549, 0.706],
  unknownFalseAlarm: [0.159, 0.143, 0.177],
  reached: [0.814, 0.796, 0.832],
  reachedByAuthor: [0.859, 0.842, 0.874],
}
