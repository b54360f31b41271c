import { beforeEach, describe, expect, it } from 'vitest'
import { actAs } from '../../../server/storage/engine/acting.ts'
import { letInBySetupCode } from '../../../server/storage/people/let-in.ts'
import { type Made, makeStorage } from '../make.ts'

let made: Made
beforeEach(() => {
  made = makeStorage()
  create('ada', null)
})

const as = <T>(by: string | null, act: () => T) => actAs({ personId: by, tabletId: null }, act)
const create = (id: string, by: string | null) =>
  as(by, () => made.storage.people.create({ id, name: id, role: 'engineer', pinHash: 'x' }))
let count = 0
const give = (id: string, by: string | null, what: 'pinHash' | 'passwordHash') =>
  as(by, () => made.storage.people.update(id, { [what]: `hash ${count++}` }))

const everybody = () => made.storage.people.list()
const givers = (id: string) => made.storage.people.letInBy(id, everybody()).map(one => one.id)

describe('on whose word a person is in', () => {
  it('is whoever made the account, whatever the person changed since', () => {
    create('ben', 'ada')
    give('ben', 'ben', 'pinHash')
    give('ben', 'ben', 'passwordHash')
    as('ada', () => made.storage.people.update('ben', { role: 'reviewer', active: true }))
    expect(givers('ben')).toEqual(['ada'])
    expect(givers('ada')).toEqual([])
  })

  it('goes on through those who were let in themselves, and ends where two let each other in', () => {
    create('ben', 'ada')
    create('cy', 'ben')
    expect(givers('cy')).toEqual(['ada', 'ben'])
    for (const what of ['pinHash', 'passwordHash'] as const) give('ada', 'cy', what)
    expect(givers('ada')).toEqual(['ben', 'cy'])
    expect(givers('cy')).toEqual(['ada', 'ben'])
  })

  it('is another’s once they gave both PIN and password anew, and both of theirs until then', () => {
    create('dot', null)
    create('ben', 'ada')
    give('ben', 'dot', 'pinHash')
    expect(givers('ben')).toEqual(['ada', 'dot'])
    give('ben', 'dot', 'passwordHash')
    expect(givers('ben')).toEqual(['dot'])
    give('ben', 'ada', 'pinHash')
    expect(givers('ben')).toEqual(['ada', 'dot'])
  })

  it('is nobody’s after a setup code from the machine, until somebody gives another', () => {
    create('ben', 'ada')
    const code = { subject: letInBySetupCode, key: 'ben', words: {} }
    as('ada', () => made.storage.trail.happened(code))
    expect(givers('ben')).toEqual([])
    give('ben', 'ada', 'passwordHash')
    expect(givers('ben')).toEqual(['ada'])
  })
})
