import { describe, expect, it } from 'vitest'
import { type TestMade, type TestWanted, testsMissing } from '../../server/walk/tests-after-work.ts'

const wanted: TestWanted[] = [
  { test: 'Drive off, outputs dead', by: 'technician', from: 'Demo value' },
  { test: 'Contacts against the diagram', by: 'second person', from: 'Demo value' },
]
const [first, second] = wanted.map(({ test, by }) => ({ test, by }))
const made = (one: typeof first, madeBy: string): TestMade[] => (one ? [{ ...one, madeBy }] : [])

describe('tests after work', () => {
  it('are each asked for by name until each has passed', () => {
    expect(testsMissing(wanted, [], 'Alex')).toEqual([
      'Test after work not passed yet: Drive off, outputs dead.',
      'Test after work not passed yet: Contacts against the diagram.',
    ])
    expect(testsMissing(wanted, [...made(first, 'Alex'), ...made(second, 'Robin')], 'Alex')).toEqual([])
  })

  it('of a second person are not made by who signs, however the name is written', () => {
    for (const name of ['Alex', ' alex ', 'ALEX'])
      expect(testsMissing(wanted, [...made(first, 'Alex'), ...made(second, name)], 'Alex')).toEqual([
        'A second person makes this test: Contacts against the diagram.',
      ])
  })

  it('without a name are not made', () => {
    expect(testsMissing(wanted.slice(0, 1), made(first, ' '), 'Alex')).toHaveLength(1)
  })
})
