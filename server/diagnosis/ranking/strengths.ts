// Every number the diagnosis rests on that no author writes,
// in one table. All are common practice, no published source.

/**
 * How strongly each kind of knowledge holds against the next, in faults: "as good as having seen this many".
 * Most places and units fail like all the others (`usual`), some have a habit of their own (`own`); how many
 * is the `part`. Which it is, each place's own faults tell.
 */
export const strengths = {
  /** The author's shares, against faults of the same symptom at other sites. */
  share: { usual: 30, own: 30, part: 0 },
  /**
   * The mix over the year, against faults in this season or
   * weather. Used only where the history shows it matters.
   */
  condition: { usual: 20, own: 20, part: 0 },
  /** The mix at other sites, against faults at this site. */
  site: { usual: 25, own: 4, part: 0.1 },
  /** The mix at the site, against faults at this very position. */
  position: { usual: 15, own: 1, part: 0.15 },
  /** The mix at the position, against faults elsewhere with a unit that is now fitted here. */
  unit: { usual: 15, own: 1, part: 0.1 },
} as const

export interface Strength {
  usual: number
  own: number
  part: number
}

/** Chances, 0 to 1. */
export const chances = {
  /** A check misleads, where its author gave no slip of their own. */
  slip: 0.03,
  /** No slip is taken as smaller than this: a finding is never beyond doubt. */
  leastSlip: 0.001,
  /** What is wrong is not in this tree, before anything is known. */
  outside: 0.05,
  /** Of that, the part where everything in the tree would be found healthy; the rest shows anything. */
  outsideHealthy: 0.5,
  /** An intermittent fault hides while it is looked for. */
  hidden: 0.5,
  /** A cause is there after all, though it was mended or its proof failed. */
  rejected: 0.02,
  /** Least part of all shares that a cause has, so that a share of 0 means "hardly ever", not "never". */
  leastShare: 0.001,
  /**
   * A cause that lies in another tree is mostly reported under
   * that tree's symptom: left for this one, each step.
   */
  otherTree: 0.5,
  /**
   * A cause shows at checks that are not on the way to it, too: what lies behind it is dead with it. The tree
   * says only what a check means once those before it have ruled such a cause out.
   */
  showsElsewhere: 0.3,
  /** A finding rules a cause out when less than this part of it agrees with the cause. */
  agrees: 0.1,
} as const

/** Minutes taken where the author gave none. */
export const usualMinutes = { check: 5, repair: 30, putBack: 2 } as const

/**
 * A season or weather counts when its own mix is this many
 * times likelier than one mix for all (a Bayes factor).
 */
export const conditionMatters = 10

/** A suggestion is made only when it saves at least this many minutes on the average. */
export const worthSuggesting = 1

/** Scatter of real minutes about the expected ones: standard deviation of the logarithm. */
export const scatter = 0.35
