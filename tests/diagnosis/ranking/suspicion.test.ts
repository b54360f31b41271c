import { describe, expect, it } from 'vitest'
import { noHistory } from '../../../server/diagnosis/ranking/cause-counts.ts'
import { rank } from '../../../server/diagnosis/ranking/rank.ts'
import { suspicionOf } from '../../../server/diagnosis/ranking/suspicion.ts'
import type { Finding } from '../../../server/walk/record.ts'
import { found, rejected } from '../found.ts'
import { knowledgeOf } from '../trees.ts'

const knowledge = knowledgeOf(
  {
    dead: {
      checks: {
        lamp: { rows: { lit: 'loop', dark: 'supply' } },
        supply: { minutes: 3, rows: { 'in range': 'output', none: '!fuse' } },
        output: { minutes: 9, rows: { 'in range': '.nothing', none: '!module' } },
        loop: { minutes: 5, rows: { 'in range': '.nothing', open: '!loop' } },
      },
    },
  },
  { fuse: {}, module: {}, loop: {} },
)

const suspicion = (findings: Finding[], cause: string) =>
  suspicionOf(knowledge, 'dead', findings, rank(knowledge, 'dead', findings, noHistory), cause)

describe('a suspected cause', () => {
  it('is shown with what points at it and what else is still possible', () => {
    const dark = found('lamp', 'dark')
    const result = suspicion([dark], 'set/module')
    expect(result?.alive.map(({ cause }) => cause.slug)).toEqual(['fuse'])
    expect(result?.against).toEqual([])
  })

  it('is shown with the checks that could prove it wrong, the best a minute first', () => {
    expect(
      suspicion([found('lamp', 'dark')], 'set/module')?.couldProveWrong.map(check => check.slug),
    ).toEqual(['supply', 'output'])
    const both = [found('lamp', 'dark'), found('supply', 'in range')]
    expect(suspicion(both, 'set/module')?.couldProveWrong).toEqual([])
  })

  it('is shown with the findings against it, a failed proof among them', () => {
    const [none, failed] = [found('supply', 'none'), rejected('fuse')]
    expect(suspicion([none], 'set/module')?.against).toEqual([none])
    expect(suspicion([none], 'set/fuse')?.pointing).toEqual([none])
    expect(suspicion([none, failed], 'set/fuse')?.against).toEqual([failed])
  })

  it('is null for a cause or tree that is not known', () => {
    expect(suspicion([], 'set/other')).toBeNull()
    expect(suspicionOf(knowledge, 'gone', [], rank(knowledge, 'gone', [], noHistory), 'set/fuse')).toBeNull()
  })
})
