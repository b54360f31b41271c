import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import type { Told } from '../../../server/storage/engine/shared-commit.ts'
import { verifyDatabase } from '../../../server/storage/safekeeping/verify.ts'
import { breakingCommits } from '../../support/breaking-commits.ts'
import { type Made, makeFault, makeStorage, observation } from '../make.ts'

let dir: string
let made: Made
let other: Made
beforeEach(() => {
  dir = mkdtempSync(join(tmpdir(), 'fourfoot-shared-'))
  made = makeFault(join(dir, 'test.db'))
  other = makeStorage(join(dir, 'test.db'))
})
afterEach(() => {
  made.db.close()
  other.db.close()
  rmSync(dir, { recursive: true })
})

const add = (id: string, note: string | null = null) => {
  const { commits, findings } = made.storage
  return commits.share(() => findings.add({ ...observation, id, note }))
}
const onDisk = () => other.storage.faults.get('fault').findings.map(({ id }) => id)
const seen = () => made.storage.faults.get('fault').findings.map(({ id }) => id)
const endOfTurn = () => new Promise(resolve => setImmediate(resolve))

/** Answers as they are given: the id when it was kept, or why it was lost. */
function answers() {
  const given: string[] = []
  const hold =
    (id: string): Told =>
    lost =>
      given.push(lost ? `${id} lost: ${lost.error instanceof Error ? lost.error.message : ''}` : id)
  return { given, hold }
}

describe('writes that share a commit', () => {
  it('are on disk together at the end of the turn, and nobody is told before', async () => {
    const { given, hold } = answers()
    for (const id of ['a', 'b']) {
      const answer = made.storage.commits.watch()
      add(id)
      answer(hold(id))
    }
    made.storage.commits.watch()(hold('a reader'))
    expect([given, onDisk(), seen()]).toEqual([[], [], ['a', 'b']])
    await endOfTurn()
    expect([given, onDisk()]).toEqual([
      ['a', 'b', 'a reader'],
      ['a', 'b'],
    ])
    expect(verifyDatabase(other.db).problems).toEqual([])
  })

  it('are taken back alone when one fails, and a repeated one writes nothing', async () => {
    add('a')
    expect(() => made.storage.commits.share(() => fails('b'))).toThrow('no')
    expect(seen()).toEqual(['a'])
    expect(add('a')).toEqual({ repeated: true })
    expect(() => add('a', 'with other content')).toThrow(/already recorded with other content/)
    add('c')
    await endOfTurn()
    expect(onDisk()).toEqual(['a', 'c'])
    expect(verifyDatabase(other.db).problems).toEqual([])
  })

  it('are all told of it when the commit fails; nothing of them stays, in memory neither, and each can be sent again', async () => {
    breakingCommits(made.db)
    const { given, hold } = answers()
    for (const [id, note] of [
      ['a', null],
      ['b', 'breaks'],
      ['c', null],
    ] as const) {
      const answer = made.storage.commits.watch()
      add(id, note)
      answer(hold(id))
    }
    expect(seen()).toEqual(['a', 'b', 'c'])
    await endOfTurn()
    expect(given).toEqual(['a', 'b', 'c'].map(id => `${id} lost: FOREIGN KEY constraint failed`))
    expect([seen(), onDisk()]).toEqual([[], []])
    expect(add('a')).toEqual({ repeated: false })
    await endOfTurn()
    expect(onDisk()).toEqual(['a'])
    expect(verifyDatabase(other.db).problems).toEqual([])
  })

  it('tell also whoever began before they were lost and answers later', async () => {
    breakingCommits(made.db)
    const { given, hold } = answers()
    const late = made.storage.commits.watch()
    add('a', 'breaks')
    await endOfTurn()
    late(hold('late'))
    made.storage.commits.watch()(hold('new'))
    expect(given).toEqual(['late lost: FOREIGN KEY constraint failed', 'new'])
  })

  it('lose all that was waiting when the disk is full and took back more than one of them', async () => {
    const { given, hold } = answers()
    made.storage.commits.share(() => made.storage.findings.add({ ...observation, id: 'a' }))
    made.storage.commits.watch()(hold('a'))
    const takenBackWhole = () =>
      made.storage.transaction(() => {
        made.db.exec('ROLLBACK') // as SQLite does by itself where it can't go back to a savepoint
        throw new Error('full')
      })
    expect(() => made.storage.commits.share(takenBackWhole)).toThrow('full')
    expect([given, seen()]).toEqual([['a lost: full'], []])
    add('b')
    await endOfTurn()
    expect(onDisk()).toEqual(['b'])
  })
})

describe('a write of its own', () => {
  it('is on disk when it returns, and what waited before it too', () => {
    add('a')
    made.storage.findings.add({ ...observation, id: 'b' })
    expect(onDisk()).toEqual(['a', 'b'])
  })

  it('is refused when what waited before it is lost', () => {
    breakingCommits(made.db)
    add('a', 'breaks')
    expect(() => made.storage.findings.add({ ...observation, id: 'b' })).toThrow(/FOREIGN KEY/)
    expect([seen(), onDisk()]).toEqual([[], []])
  })
})

function fails(id: string): void {
  made.storage.transaction(() => {
    made.storage.findings.add({ ...observation, id })
    throw new Error('no')
  })
}
