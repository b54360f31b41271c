// What the depot's engineer sets for the review.

import type { RepeatRule } from '../../history/positions/repeats.ts'
import { sql } from '../engine/sql.ts'
import type { Writer } from '../engine/writer.ts'

export interface ReviewSettings {
  /** By length; the starting rules while none is set. */
  repeatWindows(): RepeatRule[]
  /** Puts these in place of all others. */
  setRepeatWindows(rules: readonly RepeatRule[]): void
}

const startingRules: RepeatRule[] = [
  { name: 'again within 28 days', days: 28, faults: 2 },
  { name: 'again within 90 days', days: 90, faults: 2 },
  { name: 'third in a year', days: 365, faults: 3 },
]

const list = sql<[], RepeatRule>('SELECT name, days, faults FROM repeat_windows ORDER BY days, faults, name')
const clear = sql('DELETE FROM repeat_windows')
const insert = sql('INSERT INTO repeat_windows (name, days, faults) VALUES (@name, @days, @faults)')

export function createReviewSettings({ db, write }: Writer): ReviewSettings {
  return {
    repeatWindows() {
      const rules = list(db).all()
      return rules.length > 0 ? rules : startingRules
    },
    setRepeatWindows: rules =>
      write(() => {
        clear(db).run()
        for (const rule of rules) insert(db).run(rule)
      }),
  }
}
