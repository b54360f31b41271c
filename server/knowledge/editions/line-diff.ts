// Two texts line by line: what both have, what only one has. For people to read, so it need not be minimal.

export interface DiffLine {
  kind: 'both' | 'before' | 'after'
  text: string
}

/** Beyond this many lines on either side of what differs, the whole of it counts as replaced. */
const most = 2500

/** The longest common lines stay; the others come as `before` (gone) and `after` (new), in order. */
export function lineDiff(before: string, after: string): DiffLine[] {
  const a = before.split('\n')
  const b = after.split('\n')
  let head = 0
  while (head < a.length && head < b.length && a[head] === b[head]) head++
  let tail = 0
  while (tail < a.length - head && tail < b.length - head && a.at(-1 - tail) === b.at(-1 - tail)) tail++
  const same = (text: string): DiffLine => ({ kind: 'both', text })
  const middle = between(a.slice(head, a.length - tail), b.slice(head, b.length - tail))
  return [...a.slice(0, head).map(same), ...middle, ...a.slice(a.length - tail).map(same)]
}

function between(a: string[], b: string[]): DiffLine[] {
  const replaced = [...a.map(line('before')), ...b.map(line('after'))]
  if (a.length === 0 || b.length === 0 || a.length > most || b.length > most) return replaced
  const width = b.length + 1
  const length = new Uint16Array((a.length + 1) * width)
  for (let i = a.length - 1; i >= 0; i--) {
    for (let j = b.length - 1; j >= 0; j--) {
      const longer = Math.max(length[(i + 1) * width + j] ?? 0, length[i * width + j + 1] ?? 0)
      length[i * width + j] = a[i] === b[j] ? 1 + (length[(i + 1) * width + j + 1] ?? 0) : longer
    }
  }
  return followed(a, b, length, width)
}

function followed(a: string[], b: string[], length: Uint16Array, width: number): DiffLine[] {
  const lines: DiffLine[] = []
  let [i, j] = [0, 0]
  while (i < a.length && j < b.length) {
    if (a[i] === b[j]) {
      lines.push({ kind: 'both', text: a[i] ?? '' })
      i++
      j++
    } else if ((length[(i + 1) * width + j] ?? 0) >= (length[i * width + j + 1] ?? 0)) {
      lines.push({ kind: 'before', text: a[i++] ?? '' })
    } else lines.push({ kind: 'after', text: b[j++] ?? '' })
  }
  return [...lines, ...a.slice(i).map(line('before')), ...b.slice(j).map(line('after'))]
}

function line(kind: DiffLine['kind']) {
  return (text: string): DiffLine => ({ kind, text })
}

/** Only what differs, with so many lines round it; null stands for a run left out. */
export function shortened(lines: DiffLine[], around = 2): (DiffLine | null)[] {
  const near = new Set<number>()
  lines.forEach(({ kind }, at) => {
    if (kind === 'both') return
    for (let n = at - around; n <= at + around; n++) near.add(n)
  })
  const short: (DiffLine | null)[] = []
  lines.forEach((one, at) => {
    if (near.has(at)) short.push(one)
    else if (short.at(-1) !== null) short.push(null)
  })
  return short
}
