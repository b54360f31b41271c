import { type Caption, type Chart, draw, empty, type Frame } from './chart.ts'
import { numberLabel } from './labels.ts'
import { element, escaped, label } from './svg.ts'

export interface HeatStrip extends Caption {
  /** One a month; null where nothing was in service, which is not zero. */
  months: { year: number; month: number; count: number | null }[]
  countLabel: string
}

const names = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec']
const cell = { width: 50, height: 30 }
const [left, top] = [56, 30]

/**
 * Months across, years down: the season stands out as a
 * column. Each cell says its number, so colour only helps.
 */
export function heatStrip(data: HeatStrip): Chart {
  const years = [...new Set(data.months.map(m => m.year))].sort((a, b) => a - b)
  const byMonth = new Map(data.months.map(m => [`${m.year}-${m.month}`, m.count]))
  const table = {
    head: ['Year', ...names],
    rows: years.map(year => [
      String(year),
      ...names.map((_, i) => numberLabel(byMonth.get(`${year}-${i + 1}`) ?? null)),
    ]),
  }
  const frame: Frame = {
    width: left + 12 * cell.width + 8,
    height: top + cell.height * Math.max(1, years.length) + 8,
    top,
    right: 8,
    bottom: 8,
    left,
  }
  if (years.length === 0) return empty(data, frame, 'No months to show.', table)
  const highest = Math.max(1, ...data.months.map(m => m.count ?? 0))
  const cells = data.months.map(({ year, month, count }) => {
    const at = { x: left + (month - 1) * cell.width, y: top + years.indexOf(year) * cell.height }
    return cellParts(
      at,
      count,
      highest,
      `${names[month - 1]} ${year}: ${count === null ? 'nothing in service' : numberLabel(count)}`,
    )
  })
  const heads = names.map((name, i) =>
    label(left + (i + 0.5) * cell.width, top - 10, name, { anchor: 'middle' }),
  )
  const sides = years.map((year, i) =>
    label(left - 10, top + (i + 0.5) * cell.height + 4, String(year), { anchor: 'end' }),
  )
  const most = data.months.reduce((a, b) => ((b.count ?? 0) > (a.count ?? 0) ? b : a))
  const description = `${data.countLabel} by month, ${years[0]} to ${years.at(-1)}; most in ${names[most.month - 1]} ${most.year}: ${numberLabel(most.count)}.`
  return { svg: draw(data, description, frame, [...cells, ...heads, ...sides]), table }
}

function cellParts(
  at: { x: number; y: number },
  count: number | null,
  highest: number,
  words: string,
): string {
  const [x, y] = [at.x + 1, at.y + 1]
  const [width, height] = [cell.width - 2, cell.height - 2]
  const frame = element('rect', { class: 'chart-grid', x, y, width, height, fill: 'none' })
  if (count === null) return frame
  const fill = {
    class: 'chart-band chart-band--heat',
    x,
    y,
    width,
    height,
    'fill-opacity': 0.55 * (count / highest),
  }
  const box = element('rect', fill, element('title', {}, escaped(words)))
  return element(
    'g',
    {},
    frame,
    box,
    label(x + width / 2, y + height / 2 + 4, numberLabel(count), { anchor: 'middle' }),
  )
}
