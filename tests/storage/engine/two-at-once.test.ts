import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import fc from 'fast-check'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { attendance, type Made, makeFault, makeStorage, mine, observation } from '../make.ts'

let dir: string
let one: Made
let two: Made
beforeEach(() => {
  dir = mkdtempSync(join(tmpdir(), 'fourfoot-two-'))
  one = makeFault(join(dir, 'test.db'))
  two = makeStorage(join(dir, 'test.db'))
})
afterEach(() => {
  one.db.close()
  two.db.close()
  rmSync(dir, { recursive: true })
})

describe('two connections to one database', () => {
  it('number the findings of a fault one after the other, however their writes fall', () => {
    let made = 0
    fc.assert(
      fc.property(fc.array(fc.boolean(), { minLength: 1, maxLength: 12 }), turns => {
        const before = one.storage.faults.get('fault').findings.length
        const ids = turns.map(first => {
          const id = `finding ${made++}`
          const { storage } = first ? one : two
          storage.findings.add({ ...observation, id })
          return id
        })
        const { findings } = two.storage.faults.get('fault')
        expect(findings.map(({ seq }) => seq)).toEqual(findings.map((_, index) => index + 1))
        expect(findings.slice(before).map(({ id }) => id)).toEqual(ids)
      }),
      { seed: 4700, numRuns: 25 },
    )
  })

  it('take a form sent to both as one', () => {
    expect(one.storage.findings.add(observation)).toEqual({ repeated: false })
    expect(two.storage.findings.add(observation)).toEqual({ repeated: true })
  })

  it('let one person have a fault in hand', () => {
    one.storage.attendances.end('att', 'taken over')
    one.storage.attendances.start({ ...attendance, id: 'a2', personId: 'ben' })
    const eves = { ...attendance, id: 'a3', personId: 'eve' }
    expect(() => two.storage.attendances.start(eves)).toThrow(/Ben Holt has this fault in hand/)
    expect(() => two.storage.disturbances.add({ ...mine, id: 'd', item: 'strap' })).toThrow(/taken over/)
  })

  it('see nothing of a transaction that is not finished', () => {
    one.storage.transaction(() => {
      one.storage.findings.add(observation)
      expect(two.storage.faults.get('fault').findings).toEqual([])
    })
    expect(two.storage.faults.get('fault').findings).toHaveLength(1)
  })
})
