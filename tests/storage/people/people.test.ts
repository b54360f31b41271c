import { beforeEach, describe, expect, it } from 'vitest'
import { rescueCodeMade } from '../../../server/storage/people/setup-codes.ts'
import { makeSite, type Site } from '../../support/site.ts'

let site: Site
beforeEach(async () => {
  site = await makeSite()
})

describe('the last engineer with access', () => {
  it.each([
    ['given another role', { role: 'technician' }],
    ['ended', { active: false }],
    ['both', { role: 'author', active: false }],
  ] as const)('is never %s', (_, change) => {
    const { people } = site.deps.storage
    const before = people.find('isla')
    expect(() => people.update('isla', change)).toThrow('last engineer')
    expect(people.find('isla')).toEqual(before)
    people.update('odo', { role: 'engineer' })
    people.update('isla', change)
    expect(() => people.update('odo', change)).toThrow('last engineer')
  })

  it('is not one who has no access any more', () => {
    const { people } = site.deps.storage
    people.update('odo', { role: 'engineer', active: false })
    expect(() => people.update('isla', { active: false })).toThrow('last engineer')
    people.update('odo', { active: true })
    people.update('isla', { active: false })
    people.update('isla', { role: 'technician' })
  })

  it('may have a new PIN, and others whatever they had', () => {
    const { people } = site.deps.storage
    people.update('isla', { pinHash: 'another', given: 'PIN' })
    people.update('wren', { role: 'author', active: false })
    expect(people.find('isla')?.role).toBe('engineer')
  })
})

describe('a setup code made on the machine', () => {
  it('is good for a day, once, and in the trail', () => {
    const { setupCodes, trail } = site.deps.storage
    setupCodes.createRescue('hash')
    expect([setupCodes.isRescueOpen(), setupCodes.isRescueOpen('hash')]).toEqual([true, true])
    expect(setupCodes.isRescueOpen('other')).toBe(false)
    expect(trail.listHappened(rescueCodeMade, '').map(({ key }) => key)).toEqual(['hash'])
    site.pass(24 * 60 + 1)
    expect([setupCodes.isRescueOpen(), setupCodes.isRescueOpen('hash')]).toEqual([false, false])
    setupCodes.createRescue('second')
    expect([setupCodes.use('second'), setupCodes.use('second')]).toEqual([true, false])
    expect(setupCodes.isRescueOpen()).toBe(false)
  })

  it('closes every other one when it is used, and none of a first start is one', () => {
    const { setupCodes } = site.deps.storage
    setupCodes.create('of the first start')
    expect(setupCodes.isRescueOpen()).toBe(false)
    setupCodes.createRescue('one')
    setupCodes.createRescue('two')
    expect(setupCodes.use('two')).toBe(true)
    expect([setupCodes.isOpen('one'), setupCodes.isOpen('of the first start')]).toEqual([false, false])
  })
})
