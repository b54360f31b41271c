import { describe, expect, it } from 'vitest'
import { createTurns, type Turn } from '../../server/auth/turns.ts'

const limits = { atOnce: 2, strangers: 8, others: 60 }
const ours = (count = 0): Turn => ({ stranger: false, count })
const stranger = (count: number): Turn => ({ stranger: true, count })

/** A queue whose tasks end one by one, each when it is told to; `done` has their names in the order they began. */
function makeQueue() {
  const turns = createTurns(limits)
  const begun: string[] = []
  const refused: string[] = []
  const ends: (() => void)[] = []
  const enter = (name: string, turn: Turn) =>
    turns
      .run(turn, () => {
        begun.push(name)
        return new Promise<void>(resolve => ends.push(resolve))
      })
      .catch((error: unknown) => {
        refused.push(name)
        if (!(error instanceof Error) || !error.message.includes('at once')) throw error
      })
  const endOne = async () => {
    ends.shift()?.()
    await new Promise(done => setImmediate(done))
  }
  return { enter, endOne, begun, refused }
}

describe('of those who wait', () => {
  it('no more than two are served at once', async () => {
    const { enter, endOne, begun } = makeQueue()
    for (const name of ['a', 'b', 'c']) void enter(name, ours())
    expect(begun).toEqual(['a', 'b'])
    await endOne()
    expect(begun).toEqual(['a', 'b', 'c'])
  })

  it('an enrolled tablet goes before every stranger, in the order they came', async () => {
    const { enter, endOne, begun } = makeQueue()
    for (let n = 0; n < 8; n++) void enter(`stranger ${n}`, stranger(1))
    void enter('tablet 1', ours(3))
    void enter('tablet 2', ours(3))
    expect(begun).toEqual(['stranger 0', 'tablet 1'])
    await endOne()
    expect(begun.slice(2)).toEqual(['tablet 2'])
  })

  it('strangers never have both places, nor one beside a tablet', async () => {
    const { enter, endOne, begun } = makeQueue()
    for (let n = 0; n < 8; n++) void enter(`stranger ${n}`, stranger(n))
    expect(begun).toEqual(['stranger 0'])
    await endOne()
    expect(begun).toEqual(['stranger 0', 'stranger 1'])
    void enter('tablet', ours(9))
    expect(begun.at(-1)).toBe('tablet')
    await endOne()
    expect(begun.at(-1)).toBe('tablet')
    await endOne()
    expect(begun.at(-1)).toBe('stranger 2')
  })

  it('a stranger with few wrong guesses goes before those with many', async () => {
    const { enter, endOne, begun } = makeQueue()
    for (let n = 0; n < 8; n++) void enter(`guess ${n}`, stranger(4 + n))
    void enter('right', stranger(0))
    await endOne()
    expect(begun.slice(1)).toEqual(['right'])
  })

  it('strangers beyond what is served within seconds are told so, those with the most guesses first', async () => {
    const { enter, endOne, begun, refused } = makeQueue()
    for (let n = 0; n < 168; n++) void enter(`guess ${n}`, stranger(1 + Math.floor(n / 12)))
    void enter('right', stranger(0))
    await endOne()
    expect(begun.at(-1)).toBe('right')
    // One is served and eight wait; of the first address's round of twelve none had fewer.
    expect(refused).toHaveLength(168 - 1 - 8 + 1)
    expect(refused).not.toContain('right')
  })

  it('a stranger who comes after a flood from as many addresses is not the one turned away', async () => {
    const { enter, endOne, begun, refused } = makeQueue()
    for (let n = 0; n < 12; n++) void enter(`first guess ${n}`, stranger(1))
    void enter('right', stranger(1))
    await endOne()
    expect(begun.at(-1)).toBe('right')
    expect(refused).toHaveLength(12 - 1 - 8 + 1)
  })

  it('a whole shift on its tablets is never refused, whatever strangers do', async () => {
    const { enter, endOne, begun, refused } = makeQueue()
    for (let n = 0; n < 100; n++) void enter(`guess ${n}`, stranger(n))
    const shift = Array.from({ length: 60 }, (_, n) => `tablet ${n}`)
    for (const name of shift) void enter(name, ours())
    for (let n = 0; n < 62; n++) await endOne()
    expect(refused.filter(name => name.startsWith('tablet'))).toEqual([])
    expect(begun.slice(1, 61)).toEqual(shift)
  })

  it('one that fails holds up nobody', async () => {
    const turns = createTurns(limits)
    const failing = Array.from({ length: 5 }, () =>
      turns.run(ours(), () => Promise.reject(new Error('no memory'))),
    )
    expect((await Promise.allSettled(failing)).map(one => one.status)).toEqual(Array(5).fill('rejected'))
    expect(await turns.run(ours(), async () => 'served')).toBe('served')
  })
})
