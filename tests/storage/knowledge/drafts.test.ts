import { describe, expect, it } from 'vitest'
import { makeRailway } from '../make.ts'

const path = 'trees/a.md'
const base = { id: 'draft', path, baseEditionId: 'e1', by: 'eve', textId: 'first', text: '# A' }

function begun() {
  const made = makeRailway()
  made.storage.drafts.begin(base)
  const save = (
    id: string,
    over: string,
    by: string,
    text: string,
    pause = true,
    settles: string | null = null,
  ) => made.storage.drafts.save({ id, draftId: 'draft', over, by, text, pause, settles })
  return { ...made, save, drafts: made.storage.drafts }
}

describe('a draft', () => {
  it('is one for each file: beginning it again gives the one that is there', () => {
    const { drafts } = begun()
    expect(drafts.begin({ ...base, id: 'other', textId: 'x', text: '# B', by: 'ada' })).toMatchObject({
      id: 'draft',
    })
    expect(drafts.list()).toHaveLength(1)
  })

  it('lets a pause of one person take the place of their last, and of nobody else’s', () => {
    const { drafts, save } = begun()
    save('a1', 'first', 'ada', '1')
    save('a2', 'a1', 'ada', '2')
    save('b1', 'a2', 'ben', '3')
    save('a3', 'b1', 'ada', '4')
    expect(drafts.texts('draft').map(text => text.id)).toEqual(['first', 'a2', 'b1', 'a3'])
    expect(drafts.writers('draft')).toEqual(['ada', 'ben'])
  })

  it('never refuses words for being late: it keeps them aside until somebody settles it', () => {
    const { drafts, save } = begun()
    save('a1', 'first', 'ada', 'hers')
    expect(save('b1', 'first', 'ben', 'his')).toMatchObject({ aside: true })
    expect(save('b2', 'b1', 'ben', 'his, more')).toMatchObject({ aside: true })
    expect(drafts.get('draft')).toMatchObject({
      head: { id: 'a1' },
      asides: [{ id: 'b2', text: 'his, more' }],
    })
    save('c1', 'a1', 'eve', 'both', false, 'b2')
    expect(drafts.get('draft')).toMatchObject({ head: { text: 'both' }, asides: [] })
    expect(drafts.texts('draft').map(text => text.id)).toContain('b2')
  })

  it('sent twice is kept once', () => {
    const { drafts, save } = begun()
    const once = save('a1', 'first', 'ada', '1')
    expect(save('a1', 'first', 'ada', '1')).toEqual(once)
    expect(drafts.texts('draft')).toHaveLength(2)
  })

  it('that has ended takes no more words, and another may begin', () => {
    const { drafts, save } = begun()
    drafts.end('draft', 'put away')
    expect(() => save('a1', 'first', 'ada', '1')).toThrow(/published or put away/)
    expect(drafts.begin({ ...base, id: 'next', textId: 'n' })).toMatchObject({ id: 'next' })
  })

  it('has a path inside the knowledge folder', () => {
    const { storage } = makeRailway()
    expect(() => storage.drafts.begin({ ...base, path: '../x.md' })).toThrow(/CHECK/)
  })
})

describe('a withdrawn tree', () => {
  it('is withdrawn once at a time, and only lifted', () => {
    const { storage, db } = makeRailway()
    const { publications } = storage
    const made = { id: 'w', tree: 'a', by: 'eve', words: 'it misleads' }
    expect(publications.withdrawTree(made)).toEqual({ repeated: false })
    expect(publications.withdrawTree(made)).toEqual({ repeated: true })
    expect(() => publications.withdrawTree({ ...made, id: 'again' })).toThrow(/withdrawn already/)
    for (const sql of [
      "UPDATE tree_withdrawals SET words = 'x'",
      "UPDATE tree_withdrawals SET words = 'x', lifted_at = 'z', lifted_by = 'eve'",
      'DELETE FROM tree_withdrawals',
      "INSERT OR REPLACE INTO tree_withdrawals (id, tree, at, by, words) VALUES ('w', 'b', 'z', 'eve', 'x')",
      "INSERT OR REPLACE INTO tree_withdrawals (id, tree, at, by, words) VALUES ('n', 'a', 'z', 'eve', 'x')",
    ])
      expect(() => db.exec(sql), sql).toThrow(/only lift/)
    publications.liftWithdrawal('a', 'eve')
    expect(publications.withdrawnTrees()).toEqual([])
    expect(() => publications.liftWithdrawal('a', 'eve')).toThrow(/not withdrawn/)
    expect(() => db.exec("UPDATE tree_withdrawals SET lifted_at = 'y'")).toThrow(/only lift/)
  })
})

describe('a report from the field', () => {
  it('is answered to its reporter alone, until they have read it', () => {
    const { storage } = makeRailway()
    const fault = {
      positionId: 'p1',
      tree: 't',
      editionId: 'e1',
      symptom: 's',
      reportedAt: '2026-03-02T07:00:00.000Z',
    }
    const rest = {
      reportedBy: 'x',
      recordedBy: 'ada',
      noticed: 'x',
      protection: 'kept',
      intermittent: false,
    } as const
    storage.faults.create({ id: 'fault', ...fault, ...rest, conditions: [] })
    const report = { id: 'r', faultId: 'fault', tree: 't', check: 'c', editionId: 'e1', by: 'ada' }
    storage.reports.add({ ...report, kind: 'wrong or unclear', words: '' })
    storage.reports.answer({ id: 'a', reportId: 'r', by: 'eve', words: 'mended' })
    expect(storage.reports.unread('ben')).toEqual([])
    expect(storage.reports.unread('ada')).toMatchObject([{ answer: { words: 'mended' } }])
    storage.reports.read('a', 'ben')
    expect(storage.reports.unread('ada')).toHaveLength(1)
    storage.reports.read('a', 'ada')
    storage.reports.read('a', 'ada')
    expect(storage.reports.unread('ada')).toEqual([])
    expect(storage.reports.list('t')[0]?.answers[0]?.readAt).not.toBeNull()
    expect(storage.reports.list('u')).toEqual([])
  })
})
