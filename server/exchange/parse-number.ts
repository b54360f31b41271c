import type { Cell } from './table.ts'

export type DecimalMark = 'point' | 'comma'

/**
 * Plain text of a number with a point, or null. Thousands may
 * be grouped by blanks, apostrophes or the other mark.
 */
export function parseNumber(cell: Cell, mark: DecimalMark): string | null {
  if (typeof cell === 'number') return String(cell)
  if (typeof cell !== 'string') return null
  const bare = cell
    .trim()
    .replace(/[\u00a0\u202f\u2009']/g, '')
    .replace(/\u2212/g, '-')
    .replace(/(?<=\d) (?=\d{3})/g, '')
  const [group, point] = mark === 'comma' ? ['.', ','] : [',', '.']
  const grouped = new RegExp(`^[+-]?\\d{1,3}(\\${group}\\d{3})+(\\${point}\\d+)?$`)
  const plain = new RegExp(`^[+-]?(\\d+(\\${point}\\d*)?|\\${point}\\d+)$`)
  const digits = grouped.test(bare) ? bare.replaceAll(group, '') : bare
  if (!plain.test(digits)) return null
  const value = Number(digits.replace(point, '.'))
  return Number.isFinite(value) ? String(value) : null
}

/** Which mark the figures have; taken in a few at a time. */
export interface MarkOf {
  add(cells: Iterable<Cell>): void
  mark(): DecimalMark
}

/** A comma as in "12,5" where nothing else has a point before its last figures. */
export function settleMark(): MarkOf {
  let [commas, points] = [0, 0]
  return {
    add(cells) {
      for (const cell of cells) {
        if (typeof cell !== 'string') continue
        if (/^\s*[+-]?\d[\d. ]*,\d{1,2}\s*$|^\s*[+-]?\d+,\d{4,}\s*$/.test(cell)) commas++
        if (/^\s*[+-]?\d[\d, ]*\.\d+\s*$/.test(cell)) points++
      }
    },
    mark: () => (commas > points ? 'comma' : 'point'),
  }
}
