// How the ranking does in made-up worlds where the tree, its shares or the record are wrong, as a table.

import {
  type Shown,
  TRIAL_RESULT_OF_ALL,
  TRIAL_RESULTS,
  type TrialResult,
} from '../../../practice/trials/trial-results.ts'
import { TRIAL_WORLDS } from '../../../practice/trials/trial-worlds.ts'
import { columns, numbers, row, type Table, type TableCell } from '../../partials.ts'

/** Shares in per cent, each with its 95 % limits beneath. */
export function trialsTable(): Table {
  const worlds = TRIAL_WORLDS.flatMap(({ name, words }) => {
    const result = TRIAL_RESULTS[name]
    return result ? [rowOf({ text: name, note: words }, result)] : []
  })
  return {
    caption: 'How it does where the tree is wrong',
    captionHidden: true,
    columns: columns(
      'What is wrong',
      numbers('Found'),
      numbers('Own order'),
      numbers('Minutes'),
      numbers('Chances off'),
      numbers('Sure, wrong'),
      numbers('Sure, right'),
      numbers('Noticed'),
      numbers('Missed'),
    ),
    rows: [...worlds, rowOf({ text: 'All together' }, TRIAL_RESULT_OF_ALL)],
  }
}

function rowOf(name: TableCell, result: TrialResult) {
  const { minutes, calibration, confidentlyWrong, confidentAndRight } = result
  return row(
    name,
    wholePercent(result.reached),
    wholePercent(result.reachedByAuthor),
    withLimits(minutes, 1, '', 2),
    percent(calibration),
    percent(confidentlyWrong),
    percent(confidentAndRight),
    percent(result.unknownNoticed),
    percent(result.unknownFalseAlarm),
  )
}

const wholePercent = (shown: Shown) => (shown === null ? '–' : `${Math.round(shown[0] * 100)} %`)

/** What all the worlds together say of taking the suggestions, in a sentence or two. */
export function trialsSaid({ minutes, reached, reachedByAuthor }: TrialResult): string {
  const share = `Of these faults the suggestions found ${wholePercent(reached)}, the tree’s own order ${wholePercent(reachedByAuthor)}.`
  if (minutes === null) return share
  const [value, low, high] = minutes
  const times = `${value.toFixed(2)} times its minutes`
  if (low > 1) return `${share} They took ${times}: here they gain nothing.`
  if (high < 1) return `${share} They took ${times}.`
  return `${share} They took ${times}, which may be chance.`
}

function percent(shown: Shown): TableCell {
  return withLimits(shown, 100, ' %', 0)
}

function withLimits(shown: Shown, times: number, unit: string, digits: number): TableCell {
  if (shown === null) return { text: '–' }
  const [value = '', low = '', high = ''] = shown.map(one => (one * times).toFixed(digits))
  return { text: `${value}${unit}`, note: `${low} to ${high}` }
}
