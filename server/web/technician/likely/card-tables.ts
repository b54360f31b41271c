import type { BeforeLeaving } from '../../../diagnosis/ordering/before-leaving.ts'
import { chancePercent } from '../../../words.ts'
import type { Deps } from '../../deps.ts'
import { columns, type Table, type TableRow } from '../../partials.ts'
import { causeTitle } from '../../titles.ts'

/** Spares to take along, with the chance that each is needed. */
export function spareTable(deps: Deps, spares: BeforeLeaving['spares']): Table {
  return {
    caption: 'Spares and the chance each will be needed',
    captionHidden: true,
    columns: [
      ...columns('Unit', 'Variants that may be fitted here'),
      { text: 'Chance', number: true },
      { text: 'For' },
    ],
    rows: spares.map(one => ({
      cells: [
        { text: one.kind },
        { text: one.variants.join('; ') || 'No approved variant on record' },
        { text: chancePercent(one.chance) },
        { text: one.causes.map(key => causeTitle(deps, key)).join(', ') },
      ],
    })),
    empty: 'No spare is likely to be needed.',
  }
}

/** Instruments by the unit they read in, then whatever else the checks need. */
export function instrumentTable(
  meters: { unit: string; what: string[]; chance: number }[],
  needs: BeforeLeaving['needs'],
): Table {
  const row = (...texts: string[]): TableRow => ({ cells: texts.map(text => ({ text })) })
  return {
    caption: 'What will be measured, and the chance that it is',
    captionHidden: true,
    columns: [...columns('Reads', 'For'), { text: 'Chance', number: true }],
    rows: [
      ...meters.map(one => row(one.unit, one.what.join(', '), chancePercent(one.chance))),
      ...needs.map(one => row('needed', one.words, chancePercent(one.chance))),
    ],
    empty: 'Nothing to measure.',
  }
}

/** Access to arrange, with what it takes. */
export function accessTable(access: BeforeLeaving['access']): Table {
  return {
    caption: 'Access',
    captionHidden: true,
    columns: [
      ...columns('Access', 'Needs'),
      { text: 'Takes', number: true },
      { text: 'Chance', number: true },
    ],
    rows: access.map(one => ({
      cells: [
        { text: one.name },
        { text: one.needs || 'nothing' },
        { text: `${one.minutes} min` },
        { text: chancePercent(one.chance) },
      ],
    })),
    empty: 'None beyond the case.',
  }
}
