import { describe, expect, it } from 'vitest'
import { agreesWith, chanceOf, likelihoodOf } from '../../../server/diagnosis/ranking/likelihood.ts'
import { chances } from '../../../server/diagnosis/ranking/strengths.ts'
import { knowledgeOf, type TreePart } from '../trees.ts'

const causes = { fuse: {}, feeder: {}, drive: {}, module: {}, cable: {} }
const dead: TreePart = {
  checks: {
    supply: { rows: { 'in range': 'drive', below: '!feeder', none: '!fuse', 'cannot tell': 'drive' } },
    drive: { rows: { 'in range': 'output', none: '!drive' }, slip: 0.2 },
    output: { rows: { 'in range': 'cable#ends', below: '!module', open: '!module' } },
  },
}
const cable: TreePart = { checks: { ends: { rows: { whole: '.nothing', broken: '!cable' } } } }
const knowledge = knowledgeOf({ dead, cable }, causes)

function table(tree: string, check: string, cause: string, intermittent = false) {
  const l = likelihoodOf(knowledge, tree)
  const at = l?.scope.checkAt.get(check)
  const index = l?.scope.causeAt.get(`set/${cause}`)
  if (!l || at === undefined || index === undefined) throw new Error('not in scope')
  return (l.scope.checks[at]?.rows ?? []).map((_, row) => chanceOf(l, at, index, row, intermittent))
}

describe('the chance of each row', () => {
  it('is that of the row which leads to the cause, slips spread over the others', () => {
    const slip = chances.slip
    expect(table('dead', 'dead#supply', 'fuse')).toEqual([slip / 2, slip / 2, 1 - slip, 0])
    expect(table('dead', 'dead#supply', 'module')).toEqual([1 - slip, slip / 2, slip / 2, 0])
  })

  it('is that of the healthy row off the way to the cause', () => {
    expect(table('dead', 'dead#output', 'fuse')[0]).toBeCloseTo(1 - chances.slip, 12)
    expect(table('dead', 'cable#ends', 'fuse')[0]).toBeCloseTo(1 - chances.slip, 12)
  })

  it('follows links into other trees', () => {
    expect(table('dead', 'dead#output', 'cable')[0]).toBeCloseTo(1 - chances.slip, 12)
    expect(table('dead', 'cable#ends', 'cable')[1]).toBeCloseTo(1 - chances.slip, 12)
  })

  it('is shared where several rows lead to the cause', () => {
    const [, below, open] = table('dead', 'dead#output', 'module')
    expect(below).toBeCloseTo((1 - chances.slip) / 2, 12)
    expect(open).toBe(below)
  })

  it('takes the slip that the author gives', () => {
    expect(table('dead', 'dead#drive', 'drive')).toEqual([0.2, 0.8])
  })

  it('adds up to 1 over the rows that tell, for every cause, intermittent or not', () => {
    for (const cause of Object.keys(causes)) {
      for (const check of ['dead#supply', 'dead#drive', 'dead#output', 'cable#ends']) {
        for (const intermittent of [false, true]) {
          const sum = table('dead', check, cause, intermittent).reduce((all, chance) => all + chance, 0)
          expect(sum).toBeCloseTo(1, 12)
        }
      }
    }
  })

  it('is flattened towards the healthy row when the symptom comes and goes', () => {
    const [inRange = 0, , none = 0] = table('dead', 'dead#supply', 'fuse', true)
    expect(inRange).toBeGreaterThan(0.4)
    expect(none).toBeGreaterThan(0.4)
    expect(table('dead', 'dead#supply', 'module', true)[0]).toBeCloseTo(1 - chances.slip, 12)
  })
})

describe('the healthy row', () => {
  const healthy = (tree: TreePart, check: string) => {
    const l = likelihoodOf(knowledgeOf({ dead: tree }, causes), 'dead')
    const at = l?.scope.checkAt.get(`dead#${check}`) ?? -1
    return l?.scope.checks[at]?.rows[l.healthy[at] ?? -1]?.label ?? null
  }

  it('is in range, else the row to a healthy end, else the row behind which most causes lie', () => {
    expect(healthy({ checks: { a: { rows: { below: '!fuse', 'in range': '!drive' } } } }, 'a')).toBe(
      'in range',
    )
    expect(healthy({ checks: { a: { rows: { lit: '.nothing', dark: '!fuse' } } } }, 'a')).toBe('lit')
    const half: TreePart = {
      checks: {
        a: { rows: { dark: 'b', lit: 'c' } },
        b: { rows: { 'in range': '.nothing', none: '!fuse' } },
        c: { rows: { 'in range': '!cable', none: '!drive', below: '!module' } },
      },
    }
    expect(healthy(half, 'a')).toBe('lit')
  })

  it('is not known where rows tie, so that causes elsewhere tell nothing there', () => {
    const tree: TreePart = {
      checks: {
        a: { rows: { loose: '!fuse', tight: '!drive', 'cannot tell': 'b' } },
        b: { rows: { on: '!cable', off: '!module' } },
      },
    }
    expect(healthy(tree, 'a')).toBeNull()
    const l = likelihoodOf(knowledgeOf({ dead: tree }, causes), 'dead')
    if (!l) throw new Error('no tree')
    const cause = l.scope.causeAt.get('set/cable') ?? -1
    expect(chanceOf(l, 0, cause, 0)).toBeCloseTo(0.5, 12)
    expect(chanceOf(l, 0, cause, 1)).toBeCloseTo(0.5, 12)
    expect(agreesWith(l, 0, cause, 0)).toBe(true)
  })
})

describe('a circle', () => {
  it('does not make every cause look possible behind "try again"', () => {
    const tree: TreePart = {
      checks: {
        a: { rows: { 'in range': 'b', none: '!fuse' } },
        b: { rows: { 'in range': '.nothing', none: '!drive', below: 'a' } },
      },
    }
    const l = likelihoodOf(knowledgeOf({ dead: tree }, causes), 'dead')
    if (!l) throw new Error('no tree')
    const [b, fuse] = [l.scope.checkAt.get('dead#b') ?? -1, l.scope.causeAt.get('set/fuse') ?? -1]
    expect(agreesWith(l, b, fuse, 2)).toBe(false)
    expect(agreesWith(l, b, fuse, 0)).toBe(true)
  })
})

describe('likelihoodOf', () => {
  it('is worked out once for each knowledge object, and is null for an unknown tree', () => {
    expect(likelihoodOf(knowledge, 'dead')).toBe(likelihoodOf(knowledge, 'dead'))
    expect(likelihoodOf(knowledge, 'constructor')).toBeNull()
  })
})
