import { setTimeout as pause } from 'node:timers/promises'
import { describe, expect, it } from 'vitest'
import { actAs, actAsThroughout, actor } from '../../../server/storage/engine/acting.ts'

const wren = { personId: 'wren', tabletId: 't1' }
const moss = { personId: 'moss', tabletId: null }
const nobody = { personId: null, tabletId: null }

describe('who is at work', () => {
  it('is the person until it is done, however it ends, and whoever works within', () => {
    expect(() =>
      actAs(wren, () => {
        expect(actAs(moss, actor)).toEqual(moss)
        expect(actor()).toEqual(wren)
        throw new Error('no')
      }),
    ).toThrow('no')
    expect(actor()).toEqual(nobody)
  })

  it('is each person after their own waits, whatever the others do meanwhile', async () => {
    const seen: Record<string, unknown[]> = { wren: [], moss: [] }
    const work = (who: typeof wren | typeof moss, waits: number[]) =>
      actAsThroughout(who, async () => {
        for (const ms of waits) {
          seen[who.personId]?.push(actor())
          await pause(ms)
        }
        seen[who.personId]?.push(actor())
      })
    const both = Promise.all([work(wren, [5, 20, 5]), work(moss, [1, 1])])
    expect(actAs(moss, actor)).toEqual(moss)
    expect(actor()).toEqual(nobody)
    await both
    expect(seen.wren).toEqual([wren, wren, wren, wren])
    expect(seen.moss).toEqual([moss, moss, moss])
    expect(actor()).toEqual(nobody)
    await expect(
      actAsThroughout(wren, async () => {
        await pause(1)
        throw new Error(actor().personId ?? '')
      }),
    ).rejects.toThrow('wren')
    await work(wren, [1])
    expect(seen.wren?.at(-1)).toEqual(wren)
  })
})
