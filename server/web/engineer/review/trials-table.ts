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
      numbers('Minutes, of the tree’s own order'),
      numbers('Chances off by'),
      numbers('Sure and wrong'),
      numbers('Sure and right'),
      numbers('Not in the tree, and said so'),
      numbers('In the tree, and not found'),
    ),
    rows: [...worlds, rowOf({ text: 'All together' }, TRIAL_RESULT_OF_ALL)],
  }
}

function rowOf(name: TableCell, result: TrialResult) {
  const { minutes, calibration, confidentlyWrong, confidentAndRight } = result
  return row(
    name,
    withLimits(minutes, 1, '', 2),
    percent(calibration),
    percent(confidentlyWrong),
    percent(confidentAndRight),
    percent(result.unknownNoticed),
    percent(result.unknownFalseAlarm),
  )
}

function percent(shown: Shown): TableCell {
  return withLimits(shown, 100, ' %', 0)
}

function withLimits(shown: Shown, times: number, unit: string, digits: number): TableCell {
  if (shown === null) return { text: '–' }
  const [value = '', low = '', high = ''] = shown.map(one => (one * times).toFixed(digits))
  return { text: `${value}${unit}`, note: `${low} to ${high}` }
}
