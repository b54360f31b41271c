import { describe, expect, it } from 'vitest'
import { type DrawnTerminal, terminalBoard } from '../../server/charts/terminal-board.ts'
import { compile } from '../../server/knowledge/compile.ts'
import { readKnowledge } from '../../server/knowledge/load.ts'
import { terminalsIn } from '../../server/knowledge/terminals-in.ts'
import { terminalsDrawn } from '../../server/web/technician/check/terminals-drawn.ts'

const one = (name: string, more: Partial<DrawnTerminal> = {}): DrawnTerminal => ({
  name,
  part: null,
  sealed: false,
  live: false,
  ...more,
})

describe('a board of terminals', () => {
  it('says in words what it draws', () => {
    const board = terminalBoard('case', [
      one('A1', { part: 'probe', live: true }),
      one('A2', { part: 'named' }),
      one('W1', { sealed: true }),
    ])
    expect(board).toContain('<title>case. Probes on A1; also named: A2; live: A1; sealed: W1.</title>')
    expect(board.match(/terminal-live/g)).toHaveLength(1)
    expect(board).not.toContain('terminal-clamp')
  })

  it('draws a clamp round the wire', () => {
    const board = terminalBoard('case', [one('A1', { part: 'clamp' }), one('A2')])
    expect(board).toContain('Clamp round the wire at A1')
    expect(board.match(/terminal-clamp/g)).toHaveLength(1)
    expect(board).not.toContain('terminal--probe')
  })
})

describe('at each check that comes with the program', () => {
  const { knowledge } = compile(readKnowledge('knowledge').files)
  const checks = [...(knowledge?.trees.values() ?? [])].flatMap(tree => {
    const equipment = knowledge?.equipment.get(tree.equipment)
    return equipment ? [...tree.checks.values()].map(check => ({ check, equipment })) : []
  })

  it('every terminal that the step names is drawn, and each one that is live is marked', () => {
    let drawnOnes = 0
    for (const { check, equipment } of checks) {
      const named = terminalsIn(equipment, check.instruction)
      const drawn = terminalsDrawn({ equipment } as never, check)
      const words = (drawn?.boards ?? '').match(/<text class="terminal-label[^>]*>[^<]+/g) ?? []
      const names = words.map(text => text.replace(/.*>/, '').replace(' sealed', ''))
      expect(names, check.title).toEqual(expect.arrayContaining(named.map(terminal => terminal.name)))
      const parts = new Set(named.map(terminal => terminal.on))
      const live = equipment.terminals.filter(terminal => parts.has(terminal.on) && terminal.live !== null)
      expect((drawn?.boards.match(/terminal-live/g) ?? []).length, check.title).toBeGreaterThanOrEqual(
        live.length,
      )
      drawnOnes += named.length
    }
    expect(drawnOnes).toBeGreaterThan(150)
  })

  it('a clamp is drawn where a clamp is said, and probes nowhere on it', () => {
    const arming = checks.find(({ check }) => check.slug === 'arming-output')
    const drawn = arming && terminalsDrawn({ equipment: arming.equipment } as never, arming.check)
    expect(drawn?.caption).toContain('Clamp round the wire at A1.')
    expect(drawn?.boards).toContain('terminal-clamp')
    expect(drawn?.boards).not.toContain('terminal--probe')
  })

  it('where the fuse has its sides on two parts, both are drawn', () => {
    const fuse = checks.find(({ check }) => check.slug === 'voltage-across-the-case-fuse')
    const drawn = fuse && terminalsDrawn({ equipment: fuse.equipment } as never, fuse.check)
    expect(drawn?.boards.match(/<svg/g)).toHaveLength(2)
    expect(drawn?.caption).toContain('Live: ')
  })
})
