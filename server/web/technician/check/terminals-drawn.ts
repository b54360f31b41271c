// The terminals of a check: which it names, and the boards they are drawn on.

import { type DrawnTerminal, terminalBoard } from '../../../charts/terminal-board.ts'
import { terminalsIn } from '../../../knowledge/terminals-in.ts'
import type { Check, Terminal } from '../../../knowledge/types.ts'
import type { WalkInHand } from '../in-hand/fault-in-hand.ts'

export interface DrawnTerminals {
  /** SVG, one board a part; every terminal that the step names is on one. */
  boards: string
  /** "Probe S1 and S2. Live: S1 and S2 at 110 V AC." */
  caption: string
}

/** Null where the check names no terminal. */
export function terminalsDrawn({ equipment }: WalkInHand, check: Check): DrawnTerminals | null {
  const { between, clamp } = check.does
  const named = new Set([...between, ...terminalsIn(equipment, check.instruction).map(one => one.name)])
  const parts = [...new Set(equipment.terminals.filter(one => named.has(one.name)).map(one => one.on))]
  if (parts.length === 0) return null
  // The part with the probes comes first.
  const first = equipment.terminals.find(one => between.includes(one.name))?.on
  const ordered = [...parts].sort((a, b) => Number(b === first) - Number(a === first))
  const partOf = (name: string): DrawnTerminal['part'] => {
    if (between.includes(name)) return clamp ? 'clamp' : 'probe'
    return named.has(name) ? 'named' : null
  }
  const boards = ordered.map(part =>
    terminalBoard(
      part,
      equipment.terminals
        .filter(one => one.on === part)
        .map(({ name, sealed, live }) => ({ name, sealed, live: live !== null, part: partOf(name) })),
    ),
  )
  const onBoards = equipment.terminals.filter(one => parts.includes(one.on))
  return { boards: boards.join(''), caption: captionOf(check, onBoards, named) }
}

function captionOf({ does: { between, clamp } }: Check, drawn: Terminal[], named: Set<string>): string {
  const live = drawn.filter(one => one.live !== null && named.has(one.name))
  const said = [
    between.length > 0 ? `${clamp ? 'Clamp round the wire at' : 'Probe'} ${between.join(' and ')}.` : '',
    live.length > 0 ? `Live: ${live.map(one => `${one.name} at ${one.live}`).join(', ')}.` : '',
    drawn.some(one => one.sealed) ? 'Hatched terminals are sealed: not for work on site.' : '',
  ]
  return said.filter(Boolean).join(' ')
}
