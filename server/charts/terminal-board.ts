import { escaped } from './svg.ts'

/** A terminal as drawn: `probe` where the check's probes go, `sealed` where nobody on site may work. */
export interface DrawnTerminal {
  name: string
  probe: boolean
  sealed: boolean
}

const step = 110
const perRow = 6
const rowHeight = 128
const radius = 28

/**
 * The terminals of one part as a board: probe points ringed, the sealed side hatched. Give them in the order
 * they stand; empty when no terminal is given. Colours come from the classes.
 */
export function terminalBoard(part: string, terminals: DrawnTerminal[]): string {
  if (terminals.length === 0) return ''
  const columns = Math.min(perRow, terminals.length)
  const rows = Math.ceil(terminals.length / perRow)
  const width = columns * step + 40
  const height = rows * rowHeight + 34
  const drawn = terminals.map((terminal, n) =>
    draw(terminal, 20 + (n % perRow) * step + step / 2, 34 + Math.floor(n / perRow) * rowHeight + 44),
  )
  return [
    `<svg class="terminal-board" viewBox="0 0 ${width} ${height}" width="${width}" height="${height}" role="img">`,
    `<title>${escaped(describe(part, terminals))}</title>`,
    `<rect class="terminal-plate" x="1" y="1" width="${width - 2}" height="${height - 2}" rx="3"/>`,
    `<text class="terminal-part" x="20" y="26">${escaped(part)}</text>`,
    ...drawn,
    '</svg>',
  ].join('')
}

function draw({ name, probe, sealed }: DrawnTerminal, x: number, y: number): string {
  const kind = sealed ? ' terminal--sealed' : probe ? ' terminal--probe' : ''
  const label = sealed
    ? 'terminal-label terminal-label--sealed'
    : probe
      ? 'terminal-label terminal-label--probe'
      : 'terminal-label'
  const inside = sealed ? hatch(x, y) : `<path class="terminal-screw" d="M${x - 17} ${y + 17}l34-34"/>`
  const words = sealed ? `${name} sealed` : name
  return [
    `<circle class="terminal${kind}" cx="${x}" cy="${y}" r="${radius}"/>`,
    inside,
    `<text class="${label}" x="${x}" y="${y + 56}" text-anchor="middle">${escaped(words)}</text>`,
  ].join('')
}

function hatch(x: number, y: number): string {
  return `<path class="terminal-hatch" d="M${x - 22} ${y + 8}l30-28M${x - 18} ${y + 20}l38-38M${x - 6} ${y + 24}l30-28"/>`
}

function describe(part: string, terminals: DrawnTerminal[]): string {
  const probes = terminals.filter(one => one.probe).map(one => one.name)
  const sealed = terminals.filter(one => one.sealed).map(one => one.name)
  const about = probes.length > 0 ? `Probes on ${probes.join(' and ')}` : 'No probe here'
  return `${part}. ${about}${sealed.length > 0 ? `; sealed: ${sealed.join(', ')}` : ''}.`
}
