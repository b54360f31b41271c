import { weeklySheet } from '../../../review/attention/weekly.ts'
import type { Deps } from '../../deps.ts'
import { page } from '../../host/answer.ts'

/** The week on one page, to print. */
export const show = (deps: Deps) => () => {
  return page('engineer/review/weekly', { title: 'The week', desk: true, sheet: weeklySheet(deps) })
}
