// What a drawn tree is made of, and how large each part comes
// out: boxes of rows, with what a row ends at beside it.

export interface DrawnTarget {
  /** `check`: another box of the drawing. The others are drawn beside the row. */
  kind: 'check' | 'cause' | 'end' | 'other tree'
  /** Id of the box, or words for the rest. */
  id: string
  words: string
  href: string | null
}

export interface DrawnRow {
  label: string
  target: DrawnTarget
  /** The walk drawn on the tree took this row. */
  taken: boolean
}

export interface DrawnCheck {
  id: string
  number: number
  title: string
  /** "Measures supply voltage", "Looks at the lamp". */
  does: string
  minutes: number | null
  disturbs: boolean
  href: string | null
  /** Line of the file it begins on, for a page that shows both. */
  line: number | null
  state: 'open' | 'done' | 'here'
  rows: DrawnRow[]
}

export interface SizedRow extends DrawnRow {
  labelLines: string[]
  besideLines: string[]
  /** From the top of the box. */
  top: number
  height: number
}

export interface SizedCheck extends Omit<DrawnCheck, 'rows'> {
  titleLines: string[]
  doesLines: string[]
  rows: SizedRow[]
  height: number
  headHeight: number
  /** Lines that go down from its rows. */
  lanes: number
  /** With its lanes and what stands beside it. */
  fullWidth: number
}

export const boxWidth = 290
export const besideGap = 22
export const besideWidth = 216
/** Room on the left for each line that goes down to another box. */
export const laneWidth = 14
export const lineHeight = 19
const rowPad = 7

/** `drawnBeside`: rows whose target gets no line of its own. */
export function sized(check: DrawnCheck, drawnBeside: (row: DrawnRow) => boolean): SizedCheck {
  const titleLines = wrapped(`${check.number}  ${check.title}`, 33, 3)
  const doesLines = wrapped(aboutLine(check), 40, 3)
  const headHeight = titleLines.length * (lineHeight + 2) + doesLines.length * lineHeight + 18
  let top = headHeight
  const rows = check.rows.map(row => {
    const labelLines = wrapped(row.label, 38, 2)
    const besideLines = drawnBeside(row) ? wrapped(row.target.words, 28, 3) : []
    const lines = Math.max(labelLines.length, besideLines.length)
    const placed = { ...row, labelLines, besideLines, top, height: lines * lineHeight + 2 * rowPad }
    top += placed.height
    return placed
  })
  const lanes = rows.filter(row => row.besideLines.length === 0).length
  const beside = rows.some(row => row.besideLines.length > 0) ? besideGap + besideWidth : 0
  const fullWidth = lanes * laneWidth + boxWidth + beside
  return { ...check, titleLines, doesLines, rows, headHeight, height: top + 2, lanes, fullWidth }
}

function aboutLine({ does, minutes, disturbs }: DrawnCheck): string {
  const parts = [does, minutes === null ? '' : `${minutes} min`, disturbs ? 'disturbs' : '']
  return parts.filter(Boolean).join(' · ')
}

/** Words in lines of so many letters; what does not fit the last line is cut with an ellipsis. */
export function wrapped(words: string, letters: number, most: number): string[] {
  const lines: string[] = []
  for (const word of words.trim().split(/\s+/)) {
    const last = lines.at(-1)
    if (last !== undefined && `${last} ${word}`.length <= letters) lines[lines.length - 1] = `${last} ${word}`
    else lines.push(word)
    if (lines.length > most) break
  }
  const cut = lines
    .slice(0, most)
    .map(line => (line.length > letters + 2 ? `${line.slice(0, letters)}…` : line))
  if (lines.length > most) cut[most - 1] = `${(cut[most - 1] ?? '').slice(0, letters - 1)}…`
  return cut
}
