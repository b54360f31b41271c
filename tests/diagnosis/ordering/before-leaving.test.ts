import { describe, expect, it } from 'vitest'
import { beforeLeaving } from '../../../server/diagnosis/ordering/before-leaving.ts'
import { noHistory } from '../../../server/diagnosis/ranking/cause-counts.ts'
import type { Check, Knowledge } from '../../../server/knowledge/types.ts'
import { knowledgeOf } from '../trees.ts'

const source = { path: 'equipment/set.md', line: 1 }

function example(): Knowledge {
  const knowledge = knowledgeOf(
    {
      dead: {
        checks: {
          supply: { rows: { 'in range': 'module', none: '!fuse' } },
          module: { access: 'open the case', rows: { 'in range': 'loop', none: '!module', below: '!drift' } },
          loop: {
            access: 'at the loops',
            needs: ['A second person'],
            rows: { 'in range': '.nothing', open: '!loop' },
          },
        },
      },
    },
    {
      fuse: { share: 6 },
      module: { share: 2, replace: 'transmitter module' },
      drift: { share: 1, replace: 'transmitter module' },
      loop: { share: 1 },
    },
    [
      { name: 'open the case', minutes: 3, needs: null },
      { name: 'at the loops', minutes: 12, needs: 'line blockage' },
    ],
  )
  const check = knowledge.trees.get('dead')?.checks.get('supply') as Check
  check.does = {
    kind: 'measure',
    quantity: 'supply voltage',
    unit: 'V AC',
    meter: 'V AC',
    between: [],
    clamp: false,
    limit: null,
    expectation: null,
    expectText: '',
    atFault: [],
    nothing: null,
    from: '',
    demo: true,
    role: null,
  }
  const fits = (values: string[]) => [{ fact: 'direction', values }]
  const module = { kind: 'transmitter module', settings: [], source }
  knowledge.equipment
    .get('set')
    ?.units.push(
      { ...module, variant: 'normal', fits: fits(['normal']), superseded: false },
      { ...module, variant: 'opposite', fits: fits(['opposite']), superseded: false },
      { ...module, variant: 'opposite, older', fits: fits(['opposite']), superseded: true },
    )
  return knowledge
}

describe('before leaving the depot', () => {
  const card = beforeLeaving(example(), 'dead', noHistory, { direction: 'opposite' })

  it('lists the likely causes, most likely first', () => {
    expect(card?.causes.map(({ cause }) => cause.slug)).toEqual(['fuse', 'module', 'loop', 'drift'])
    expect(card?.outside).toBeCloseTo(0.05, 12)
  })

  it('lists spares with the variants that fit here, none superseded, and the chance of needing one', () => {
    expect(card?.spares).toHaveLength(1)
    expect(card?.spares[0]).toMatchObject({ kind: 'transmitter module', variants: ['opposite'] })
    expect(card?.spares[0]?.chance).toBeCloseTo(0.95 * 0.3, 12)
  })

  it('lists what will be measured and what must be arranged, by the chance of coming to it', () => {
    expect(card?.instruments).toEqual([{ words: 'supply voltage (V AC)', chance: expect.closeTo(1, 9) }])
    expect(card?.access.map(({ name, needs }) => [name, needs])).toEqual([
      ['open the case', null],
      ['at the loops', 'line blockage'],
    ])
    expect(card?.access[0]?.chance).toBeCloseTo(0.95 * 0.4 + 0.05, 9)
    expect(card?.needs).toEqual([{ words: 'A second person', chance: expect.closeTo(0.95 * 0.1 + 0.05, 9) }])
  })

  it('says nothing of a tree it does not know', () => {
    expect(beforeLeaving(example(), 'unknown', noHistory, {})).toBeNull()
  })
})
