import type { Chart } from '../../../charts/chart.ts'
import { row, type Table } from '../../partials.ts'

/** More rows than these are not read beside a picture. */
export const mostFigures = 200

/** The figures of a chart as a table, for those who can't see the picture. */
export function figuresOf({ table }: Chart, caption: string): Table {
  return {
    caption,
    captionHidden: true,
    columns: table.head.map(text => ({ text })),
    rows: table.rows.slice(0, mostFigures).map(cells => row(...cells)),
  }
}
