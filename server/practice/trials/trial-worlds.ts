// Worlds in which the tree, the author's shares or the record are wrong: what the diagnosis is tried in.

/** How a world departs from what the tree says. */
export interface TrialWorld {
  name: string
  /** For an engineer, in a sentence. */
  words: string
  /** Each cause is this many times more or less frequent than its share, at most. */
  sharesOff: number
  /** Readings of one thing differ by up to this share of themselves, beside the instrument's own error. */
  scatter: number
  /** Chance that a check is misread, or made at the wrong place, so that another row is taken. */
  slip: number
  /** Chance that the fault does not show while a check is made; 0: it stays. */
  hides: number
  /** Faults present at once. */
  faults: 1 | 2
  /** Share of faults whose cause no row of the tree leads to. */
  unforeseen: number
  /** Share of the past faults recorded under a cause that was not theirs. */
  misrecorded: number
}

const asTheTreeSays: TrialWorld = {
  ...{ name: 'Nothing amiss', words: 'The circuit model alone; causes as frequent as their shares.' },
  ...{ sharesOff: 1, scatter: 0, slip: 0, hides: 0, faults: 1, unforeseen: 0, misrecorded: 0 },
}

const other: TrialWorld = {
  ...asTheTreeSays,
  ...{ name: 'Other shares', sharesOff: 3 },
  words: 'Each cause up to three times as frequent, or as rare, as its author thought.',
}

/** All but the first have other shares too. */
export const TRIAL_WORLDS: readonly TrialWorld[] = [
  asTheTreeSays,
  other,
  {
    ...{ ...other, name: 'Scattered readings', scatter: 0.05 },
    words: 'Each reading is up to 5 % off, beside the error of the instrument.',
  },
  {
    ...{ ...other, name: 'One slip in twenty', slip: 0.05 },
    words: 'One check in twenty is misread or made at the wrong terminals.',
  },
  { ...other, name: 'One slip in ten', slip: 0.1, words: 'One check in ten.' },
  {
    ...{ ...other, name: 'Comes and goes', hides: 0.5 },
    words: 'At every second check the fault does not show. It is reported as intermittent.',
  },
  { ...other, name: 'Two faults at once', faults: 2, words: 'Finding either of them counts.' },
  {
    ...{ ...other, name: 'Unforeseen causes', unforeseen: 0.1 },
    words: 'One fault in ten has a cause that no row of the tree leads to.',
  },
  {
    ...{ ...other, name: 'A poor record', misrecorded: 0.2 },
    words: 'One past fault in five is recorded under a cause that was not its own.',
  },
]
