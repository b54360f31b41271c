import { escaped } from './svg.ts'

/** A terminal as drawn. */
export interface DrawnTerminal {
  name: string
  /** `probe`: a probe goes on it; `clamp`: a clamp goes round its wire; `named`: the step names it otherwise. */
  part: 'probe' | 'clamp' | 'named' | null
  /** Nobody on site may work there. */
  sealed: boolean
  live: boolean
}

const step = 110
const perRow = 6
const rowHeight = 128
const radius = 28
/** Width of a letter of the part's name, as large as a narrow page draws it. */
const letter = 14
/** Above a row where a clamp goes round a wire. */
const clampHeight = 52

/**
 * The terminals of one part as a board: probe points ringed, a clamp round the wire, a flash at what is live, the
 * sealed side hatched. Give them in the order they stand; empty when no terminal is given. Colours come from the
 * classes.
 */
export function terminalBoard(part: string, terminals: DrawnTerminal[]): string {
  if (terminals.length === 0) return ''
  const above = terminals.some(one => one.part === 'clamp') ? clampHeight : 0
  const columns = Math.min(perRow, terminals.length)
  const rows = Math.ceil(terminals.length / perRow)
  const width = Math.max(columns * step, part.length * letter) + 40
  const height = rows * (rowHeight + above) + 34
  const drawn = terminals.map((terminal, n) => {
    const top = 34 + Math.floor(n / perRow) * (rowHeight + above) + above
    return draw(terminal, 20 + (n % perRow) * step + step / 2, top + 44)
  })
  return [
    `<svg class="terminal-board" viewBox="0 0 ${width} ${height}" width="${width}" height="${height}" role="img">`,
    `<title>${escaped(describe(part, terminals))}</title>`,
    `<rect class="terminal-plate" x="1" y="1" width="${width - 2}" height="${height - 2}" rx="3"/>`,
    `<text class="terminal-part" x="20" y="26">${escaped(part)}</text>`,
    ...drawn,
    '</svg>',
  ].join('')
}

function draw(terminal: DrawnTerminal, x: number, y: number): string {
  const { name, part, sealed, live } = terminal
  const kind = sealed ? 'sealed' : part
  const ofKind = (base: string) => (kind ? `${base} ${base}--${kind}` : base)
  const inside = sealed ? hatch(x, y) : `<path class="terminal-screw" d="M${x - 17} ${y + 17}l34-34"/>`
  return [
    part === 'clamp' && !sealed ? clamp(x, y) : '',
    `<circle class="${ofKind('terminal')}" cx="${x}" cy="${y}" r="${radius}"/>`,
    inside,
    live ? flash(x + 30, y - 18) : '',
    `<text class="${ofKind('terminal-label')}" x="${x}" y="${y + 56}" text-anchor="middle">`,
    `${escaped(sealed ? `${name} sealed` : name)}</text>`,
  ].join('')
}

function hatch(x: number, y: number): string {
  return `<path class="terminal-hatch" d="M${x - 22} ${y + 8}l30-28M${x - 18} ${y + 20}l38-38M${x - 6} ${y + 24}l30-28"/>`
}

/** The wire up from the terminal, the jaws round it, and the handle. */
function clamp(x: number, y: number): string {
  const at = y - 62
  return [
    `<path class="terminal-wire" d="M${x} ${y - radius}V${y - 92}"/>`,
    `<path class="terminal-clamp" d="M${x + 4} ${at - 12}A24 12 0 1 0 ${x + 22} ${at + 5}M${x + 22} ${at + 5}l22 8`,
    `M${x + 4} ${at - 12}A24 12 0 0 1 ${x + 23} ${at - 4}l22-2"/>`,
  ].join('')
}

function flash(x: number, y: number): string {
  return `<path class="terminal-live" d="M${x + 5} ${y - 14}l-11 16h8l-5 13 13-18h-8z"/>`
}

function describe(part: string, terminals: DrawnTerminal[]): string {
  const names = (of: (one: DrawnTerminal) => boolean) => terminals.filter(of).map(one => one.name)
  const probes = names(one => one.part === 'probe')
  const clamped = names(one => one.part === 'clamp')
  const named = names(one => one.part === 'named')
  const sealed = names(one => one.sealed)
  const live = names(one => one.live)
  const about = [
    probes.length > 0 ? `Probes on ${probes.join(' and ')}` : '',
    clamped.length > 0 ? `Clamp round the wire at ${clamped.join(' and ')}` : '',
    named.length > 0 ? `also named: ${named.join(', ')}` : '',
    live.length > 0 ? `live: ${live.join(', ')}` : '',
    sealed.length > 0 ? `sealed: ${sealed.join(', ')}` : '',
  ].filter(Boolean)
  return `${part}. ${about.join('; ') || 'No probe here'}.`
}
