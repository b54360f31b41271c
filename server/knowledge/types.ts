// The compiled form of the knowledge folder: plain data, the same in a browser as on the server.

import type { StatedNeeds } from '../measurement/instruments/suitability.ts'
import type { Expectation, Nothing, Range } from '../measurement/limits/expectation.ts'

/** What a fact is to the program, as its author declares it. */
export type FactRole = 'direction' | 'cable length' | 'loop spacing' | 'fuse rating' | 'tone'

/** What a limit is to the program. */
export type LimitRole = 'insulation' | 'loop spacing' | 'nothing' | 'tone'

/** What stands after `Method:`. */
export type CheckMethod = 'insulation test' | 'four-wire' | 'volt drop'

/** Where something was written, for messages: a path inside the knowledge folder and a 1-based line. */
export interface Source {
  path: string
  line: number
}

/** A file of the knowledge folder as text. `path` is relative to the folder, with `/`. */
export interface SourceFile {
  path: string
  text: string
}

/** Everything compiled from one folder. Maps are keyed by slug, in the order of the files. */
export interface Knowledge {
  equipment: Map<string, Equipment>
  trees: Map<string, FaultTree>
}

export interface Equipment {
  slug: string
  name: string
  /** Markdown: what this kind of equipment is. */
  about: string
  /** Cautions for any work on it, shown before a walk starts. */
  cautions: string[]
  terminals: Terminal[]
  access: Access[]
  units: UnitVariant[]
  facts: Fact[]
  limits: Limit[]
  causes: Map<string, Cause>
  testsAfterWork: TestAfterWork[]
  source: Source
}

export interface Terminal {
  name: string
  /** The part it belongs to, for the drawn diagram: "power module", "line terminals". */
  on: string
  purpose: string
  /** Sealed terminals are workshop-side: no check may use them. */
  sealed: boolean
  /** As written, "110 V AC"; null when the terminal is not live in service. */
  live: string | null
  source: Source
}

/** A way of getting at things that costs its minutes once while the technician is there. */
export interface Access {
  name: string
  minutes: number
  /** What must be arranged first, in words ("line blockage"), or null. */
  needs: string | null
  source: Source
}

export interface UnitVariant {
  /** The kind of unit, "transmitter module". */
  kind: string
  variant: string
  /** Every condition must hold for the variant to be fitted at a position; none means anywhere. */
  fits: FitCondition[]
  /** It may stay where it is fitted, and a newer variant takes its place when it is changed. */
  superseded: boolean
  /** Straps, links, taps and switches to compare before power goes on. */
  settings: string[]
  source: Source
}

/** `fact is a or b` */
export interface FitCondition {
  fact: string
  values: string[]
}

export interface Fact {
  name: string
  /** A unit symbol for a number, or the words to choose from. */
  unit: string | null
  choices: string[]
  meaning: string
  /** What it is to the program; null for a fact that only its reader uses. */
  role: FactRole | null
  source: Source
}

export interface Limit {
  name: string
  unit: string
  /** null: left blank by the owner, so a reading is recorded and gets no verdict. */
  expectation: Expectation | null
  /** The value cell as written. */
  text: string
  /** It applies only at positions where all of these hold; elsewhere it is as good as blank. */
  where: FitCondition[]
  /** Where the limit comes from, as written. */
  from: string
  demo: boolean
  role: LimitRole | null
  /** Of a limit for the tone of one direction: "arming tone" and "opposite". */
  tone: { purpose: string; direction: string } | null
  source: Source
}

export interface Cause {
  equipment: string
  slug: string
  title: string
  /** Relative frequency, the author's estimate; any scale. */
  share: number
  minutes: number | null
  /** Markdown: what to do about it, without the cautions. */
  remedy: string
  cautions: string[]
  /** Checks that must come back in range after the repair. */
  prove: CheckRef[]
  /** Kind of unit that is changed, or null. */
  replace: string | null
  source: Source
}

/** A test that the railway asks for once a cause is mended and proved. */
export interface TestAfterWork {
  /** Title of the cause, or null: after every repair. */
  cause: string | null
  test: string
  by: Tester
  from: string
  demo: boolean
  source: Source
}

export type Tester = 'technician' | 'second person'

export interface FaultTree {
  slug: string
  title: string
  equipment: string
  symptom: string
  /** `fault` answers a symptom; `round` is a maintenance visit. */
  kind: 'fault' | 'round'
  /** Markdown: what the tree is for. */
  about: string
  cautions: string[]
  start: CheckRef
  checks: Map<string, Check>
  ends: Map<string, End>
  /** `Review by:` as ISO date, or null. */
  reviewBy: string | null
  examples: Example[]
  source: Source
}

export interface CheckRef {
  tree: string
  check: string
}

export interface Check {
  tree: string
  slug: string
  title: string
  /** Markdown, shown in full before the instruction. */
  cautions: string[]
  instruction: string
  does: Measures | Observes
  minutes: number | null
  /** Name of an access of the equipment, or null. */
  access: string | null
  needs: string[]
  /** What the instrument must do, beside measuring the quantity. */
  instrument: StatedNeeds
  /** An insulation tester goes on: what it could kill or destroy is confirmed off before. */
  insulationTest: boolean
  /** Which ends are off for an insulation test, in the author's words; null: both. */
  endsOff: string | null
  /** What the check takes apart and must be put back, or null. */
  disturbs: string | null
  blind: boolean
  /** Chance that the check misleads, 0 to 1; null takes the usual one. */
  slip: number | null
  rows: Row[]
  source: Source
}

export interface Measures {
  kind: 'measure'
  quantity: string
  /** Unit of the reading, "V AC". */
  unit: string
  /** The unit that the meter is set to, and that a number typed without one is in: "mV DC". */
  meter: string
  between: string[]
  /** A clamp goes round the wire at each terminal, in place of probes on them. */
  clamp: boolean
  /** The limit of the equipment's table it names, or null when the check gives its own. */
  limit: string | null
  /** null: a blank limit. */
  expectation: Expectation | null
  /** Where its limit applies; not set where it applies everywhere. */
  where?: FitCondition[]
  expectText: string
  /** What it reads where the fault is, as the author says; none where they say nothing. */
  atFault: Range[]
  /** How little is as good as nothing here; null where no limit says. */
  nothing: Nothing | null
  /** What its reading is to the program: the role of its limit, or insulation by its method. */
  role: LimitRole | null
  from: string
  demo: boolean
}

export interface Observes {
  kind: 'observe'
  what: string
  between: string[]
  clamp: boolean
}

export interface Row {
  /** The finding cell as written. */
  label: string
  match: RowMatch
  means: string
  next: Target
  source: Source
}

export type RowMatch =
  | { kind: 'in range' }
  | { kind: 'below' }
  | { kind: 'above' }
  | { kind: 'none' }
  | { kind: 'open' }
  | { kind: 'band'; expectation: Expectation }
  | { kind: 'word'; word: string }
  | { kind: 'cannot tell' }
  | { kind: 'otherwise' }

export type Target =
  | { kind: 'check'; tree: string; check: string }
  | { kind: 'cause'; equipment: string; cause: string }
  | { kind: 'end'; tree: string; end: string }

/** A place where a walk stops without a cause. */
export interface End {
  tree: string
  slug: string
  title: string
  /** `not tested`: what the tree is for could not be tried now, so nothing is said of it either way. */
  means: 'no fault found' | 'not tested' | 'pass on' | 'healthy'
  about: string
  cautions: string[]
  source: Source
}

/** An example run written in the tree: what is found at which check, and where it should lead. */
export interface Example {
  findings: { check: CheckRef; finding: string }[]
  expected: Target
  source: Source
}
