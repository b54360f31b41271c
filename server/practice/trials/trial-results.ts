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
    minutes: [1.028, 0.958, 1.121],
    calibration: [0.081, 0.054, 0.121],
    confidentlyWrong: [0, 0, 0.019],
    confidentAndRight: [0.515, 0.446, 0.583],
    unknownNoticed: null,
    unknownFalseAlarm: [0.095, 0.062, 0.144],
    reached: [0.895, 0.845, 0.93],
    reachedByAuthor: [0.955, 0.917, 0.976],
  },
  'Other shares': {
    minutes: [1.12, 1.024, 1.218],
    calibration: [0.033, 0.029, 0.081],
    confidentlyWrong: [0.01, 0.003, 0.036],
    confidentAndRight: [0.545, 0.476, 0.613],
    unknownNoticed: null,
    unknownFalseAlarm: [0.085, 0.054, 0.132],
    reached: [0.915, 0.868, 0.946],
    reachedByAuthor: [0.955, 0.917, 0.976],
  },
  'Scattered readings': {
    minutes: [1.052, 0.959, 1.157],
    calibration: [0.061, 0.044, 0.106],
    confidentlyWrong: [0.025, 0.011, 0.057],
    confidentAndRight: [0.49, 0.422, 0.559],
    unknownNoticed: null,
    unknownFalseAlarm: [0.135, 0.094, 0.189],
    reached: [0.825, 0.766, 0.871],
    reachedByAuthor: [0.935, 0.892, 0.962],
  },
  'One slip in twenty': {
    minutes: [1.057, 0.97, 1.164],
    calibration: [0.098, 0.06, 0.147],
    confidentlyWrong: [0.075, 0.046, 0.12],
    confidentAndRight: [0.415, 0.349, 0.484],
    unknownNoticed: null,
    unknownFalseAlarm: [0.18, 0.133, 0.239],
    reached: [0.78, 0.718, 0.832],
    reachedByAuthor: [0.8, 0.739, 0.85],
  },
  'One slip in ten': {
    minutes: [1.012, 0.904, 1.125],
    calibration: [0.101, 0.066, 0.147],
    confidentlyWrong: [0.06, 0.035, 0.102],
    confidentAndRight: [0.407, 0.341, 0.476],
    unknownNoticed: null,
    unknownFalseAlarm: [0.216, 0.165, 0.278],
    reached: [0.734, 0.668, 0.79],
    reachedByAuthor: [0.734, 0.668, 0.79],
  },
  'Comes and goes': {
    minutes: [0.946, 0.81, 1.102],
    calibration: [0.088, 0.045, 0.129],
    confidentlyWrong: [0, 0, 0.019],
    confidentAndRight: [0.04, 0.02, 0.077],
    unknownNoticed: null,
    unknownFalseAlarm: [0.48, 0.412, 0.549],
    reached: [0.455, 0.387, 0.524],
    reachedByAuthor: [0.4, 0.335, 0.469],
  },
  'Two faults at once': {
    minutes: [0.91, 0.83, 1.006],
    calibration: [0.097, 0.069, 0.137],
    confidentlyWrong: [0.035, 0.017, 0.07],
    confidentAndRight: [0.435, 0.368, 0.504],
    unknownNoticed: null,
    unknownFalseAlarm: [0.115, 0.078, 0.167],
    reached: [0.885, 0.833, 0.922],
    reachedByAuthor: [0.965, 0.93, 0.983],
  },
  'Unforeseen causes': {
    minutes: [1.102, 1.021, 1.19],
    calibration: [0.043, 0.034, 0.085],
    confidentlyWrong: [0.016, 0.006, 0.034],
    confidentAndRight: [0.437, 0.368, 0.504],
    unknownNoticed: [0.73, 0.652, 0.797],
    unknownFalseAlarm: [0.092, 0.058, 0.138],
    reached: [0.903, 0.856, 0.938],
    reachedByAuthor: [0.971, 0.936, 0.986],
  },
  'A poor record': {
    minutes: [1.15, 1.055, 1.278],
    calibration: [0.04, 0.029, 0.08],
    confidentlyWrong: [0.01, 0.003, 0.036],
    confidentAndRight: [0.515, 0.446, 0.583],
    unknownNoticed: null,
    unknownFalseAlarm: [0.08, 0.05, 0.126],
    reached: [0.915, 0.868, 0.946],
    reachedByAuthor: [0.975, 0.943, 0.989],
  },
}

export const TRIAL_RESULT_OF_ALL: TrialResult = {
  minutes: [1.046, 1.016, 1.077],
  calibration: [0.047, 0.031, 0.062],
  confidentlyWrong: [0.026, 0.02, 0.034],
  confidentAndRight: [0.422, 0.399, 0.445],
  unknownNoticed: [0.73, 0.652, 0.797],
  unknownFalseAlarm: [0.165, 0.148, 0.182],
  reached: [0.811, 0.792, 0.828],
  reachedByAuthor: [0.854, 0.837, 0.869],
}
