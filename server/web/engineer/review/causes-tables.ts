// The charts and tables of the page on what goes wrong.

import type { PhaseTime } from '../../../history/time/time-split.ts'
import type { CauseFigures, causeCharts, NothingFoundRow } from '../../../review/causes.ts'
import { momentWords } from '../../../review/restoring.ts'
import { duration } from '../../../times.ts'
import { capitalize } from '../../../words.ts'
import { columns, numbers, row, type Table } from '../../partials.ts'
import type { ReviewWords } from './review-words.ts'

type Charts = ReturnType<typeof causeCharts>

const mostTrees = 20
const mostSites = 12

const paretoCaptions = {
  count: 'By number of faults',
  minutes: 'By minutes out of use, from the report to the hand-back',
  delay: 'By minutes of delay',
}

/** `unknown`: no fault of the window has a delay on record, so there is nothing to draw. */
export function paretoCharts({ paretos }: Charts) {
  return paretos.map(({ by, known, chart }) => ({
    unknown: by === 'delay' && !known,
    chart,
    caption: paretoCaptions[by],
    note: `n = ${known}`,
  }))
}

/** What ended without a cause takes no part in the bars. */
export function notCausesWords({ notCauses }: Charts): string | null {
  if (notCauses.length === 0) return null
  const counts = notCauses.map(({ cause, n }) => `${n} ${cause}`).join(', ')
  return `Apart, as they are no cause: ${counts}.`
}

export function scatterChart({ scatter, unplaced }: Charts, { nameOf }: ReviewWords) {
  return {
    chart: scatter,
    caption:
      'Right of the upright line: often. Above the level line: long. ' +
      'The arrow comes from the first half of the window, for causes of five faults or more.',
    note: unplaced.length > 0 ? `Without a known time: ${unplaced.map(nameOf.cause).join(', ')}` : '',
  }
}

export function nothingByTree({ byTree }: CauseFigures, { nameOf }: ReviewWords): Table {
  return {
    caption: 'By fault tree',
    columns: columns('Symptom', 'Nothing found'),
    rows: byTree.slice(0, mostTrees).map(one => row(nameOf.family(one.group), one.explained.words)),
  }
}

export function nothingBySite({ bySite }: { bySite: NothingFoundRow[] }): Table {
  return {
    caption: 'By site, most faults first',
    columns: columns('Site', 'Nothing found'),
    rows: bySite.slice(0, mostSites).map(one => row(one.group, one.explained.words)),
  }
}

/** Where the minutes between the report and the hand-back go. */
export function restoringTable(phases: PhaseTime[]): Table {
  return {
    caption: 'Minutes from the report to the hand-back',
    columns: columns('Part', numbers('Middle'), numbers('Nine in ten within'), numbers('n'), 'Left out'),
    rows: phases.map((one, i) =>
      row(
        {
          text: capitalize(one.phase === 'all' ? 'all of it' : one.phase),
          note: momentWords[i]?.[1] ?? null,
        },
        one.median === null ? '–' : duration(one.median),
        one.ninetieth === null ? '–' : duration(one.ninetieth),
        one.n,
        leftOut(one) || 'none',
      ),
    ),
  }
}

function leftOut({ missing, endUnsaid, impossible }: PhaseTime): string {
  return [
    missing ? `${missing} without both moments` : '',
    endUnsaid ? `${endUnsaid} from a file that does not say when they were put right` : '',
    impossible ? `${impossible} the wrong way round` : '',
  ]
    .filter(words => words !== '')
    .join(', ')
}
