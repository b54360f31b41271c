// Which symptoms come more or less often on days of frost, or of heat, than their share of the time.

import { type Explained, term } from '../../history/explained.ts'
import { standOut } from '../../history/false-discovery.ts'
import { type Counted, type RateRatio, rateRatio } from '../../history/positions/rate-ratio.ts'
import type { DayTemperatures } from '../../storage/history/history-weather.ts'
import { adjustedChanceWords, numberWords } from '../../words.ts'

/** Faults of one symptom, and the days in service of its kind of equipment, day by day. */
export interface FamilyDays {
  family: string
  counts: Float64Array
  service: Float64Array
}

export interface FamilyRow {
  family: string
  when: string
  /** On such days, and on the others whose temperature is known. */
  there: Counted
  rest: Counted
  ratio: RateRatio | null
  /** Not even one fault would be usual on such days, and none came: its limits would say nothing. */
  tooFew: boolean
}

const kinds = [
  { when: 'days that went below 0 °C', holds: (day: DayTemperatures) => day.lowest < 0 },
  { when: 'days that reached 25 °C', holds: (day: DayTemperatures) => day.highest >= 25 },
]
/** Of those named, one in twenty is expected to be luck. */
const rate = 0.05

/** Every symptom on both kinds of day, and those that stand out among all of them. */
export function standingOut(families: readonly FamilyDays[], felt: readonly (DayTemperatures | null)[]) {
  const rows = kinds.flatMap(({ when, holds }) =>
    families.map(one => rowOf(one, when, (i: number) => ifKnown(felt[i] ?? null, holds))),
  )
  const looked = rows.filter(row => row.ratio !== null).length
  const outstanding = standOut(rows, row => row.ratio?.chance ?? null, rate)
  return {
    whens: kinds.map(({ when }) => when),
    rows: rows.sort((a, b) => b.there.faults + b.rest.faults - a.there.faults - a.rest.faults),
    found: outstanding.map(({ row, adjusted }) => ({ row, explained: explain(row, adjusted, looked) })),
  }
}

function ifKnown(day: DayTemperatures | null, holds: (day: DayTemperatures) => boolean): boolean | null {
  return day === null ? null : holds(day)
}

function rowOf({ family, counts, service }: FamilyDays, when: string, is: (i: number) => boolean | null) {
  const [there, rest] = [
    { faults: 0, days: 0 },
    { faults: 0, days: 0 },
  ]
  counts.forEach((faults, i) => {
    const such = is(i)
    if (such === null) return
    const side = such ? there : rest
    side.faults += faults
    side.days += service[i] ?? 0
  })
  const usual = ((there.faults + rest.faults) * there.days) / (there.days + rest.days)
  return {
    family,
    when,
    there,
    rest,
    ratio: rateRatio(there, rest),
    tooFew: there.faults === 0 && !(usual >= 1),
  }
}

function explain(
  { when, there, rest, ratio }: FamilyRow,
  adjusted: number,
  looked: number,
): Explained<number | null> {
  const times = ratio === null || ratio.ratio === Infinity ? null : ratio.ratio
  const often =
    times === null || ratio === null
      ? 'only'
      : `${numberWords(times)} times as often (${limits(ratio)}, 95 % limits)`
  return {
    value: times,
    words: `${often} on ${when}; ${adjustedChanceWords(adjusted, looked)}`,
    terms: [
      term('faults then', there.faults, `on ${when}`),
      term('days then', there.days, 'days in service, all positions of the kind together'),
      term('other faults', rest.faults, 'on the other days whose temperature is known'),
      term('other days', rest.days, 'days in service'),
      term(
        'chance',
        ratio?.chance ?? null,
        'of a difference this large, either way, at one rate for all days; binomial, given the total',
      ),
      term('adjusted', adjusted, 'the same among all the symptoms and kinds of day looked at'),
    ],
  }
}

/** "1.2 to 4.5" */
export function limits({ low, high }: RateRatio): string {
  return `${numberWords(low)} to ${high === Infinity ? 'without end' : numberWords(high)}`
}
