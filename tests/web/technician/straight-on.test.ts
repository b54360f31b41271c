import { describe, expect, it } from 'vitest'
import { makeSite } from '../../support/site.ts'
import { attend, find, identify, report } from '../../support/walking.ts'

describe('a recorded finding', () => {
  it('leads straight to the plate or the next check, where its verdict stands with the ways to correct it', async () => {
    const wren = await (await makeSite()).as('wren')
    const fault = await report(wren)
    await attend(wren, fault, { plate: '' })
    const { location } = await find(wren, fault, 'supply', '110')
    expect(location).toBe(`/faults/${fault}/identity`)
    const plate = await wren.get(location)
    expect(plate.text).toContain('In range Supply')
    expect(plate.text).toContain('So: The supply is healthy.')
    await identify(wren, fault)
    const next = await wren.get(`/faults/${fault}/checks/dead/loop-resistance`)
    expect(next.text).toContain('In range Supply')
    expect(next.html).toMatch(/findings\/[^/"]+\/correction"/)
    expect(next.html).toMatch(/correction\?row=other"/)
  })

  it('shows the step as it was when one goes back to its page', async () => {
    const wren = await (await makeSite()).as('wren')
    const fault = await report(wren)
    await attend(wren, fault)
    await find(wren, fault, 'supply', '110')
    const { text } = await wren.get(`/faults/${fault}/checks/dead/supply`)
    expect(text).toContain('In range')
    expect(text).toContain('110')
  })

  it.each([
    ['a cause', 'none', 'Nothing arrives'],
    ['an end', '60', 'The supply is weak'],
  ])('is stopped at before %s', async (_what, reading, means) => {
    const wren = await (await makeSite()).as('wren')
    const fault = await report(wren)
    await attend(wren, fault)
    const { location } = await find(wren, fault, 'supply', reading)
    expect(location).toBe(`/faults/${fault}/checks/dead/supply`)
    expect((await wren.get(location)).text).toContain(means)
  })

  it('says nothing of it to somebody who only looks on', async () => {
    const site = await makeSite()
    const wren = await site.as('wren')
    const fault = await report(wren)
    await attend(wren, fault)
    await find(wren, fault, 'supply', '110')
    await identify(wren, fault)
    const moss = await site.as('moss')
    const { text } = await moss.get(`/faults/${fault}/checks/dead/loop-resistance`)
    expect(text).not.toContain('I disagree')
  })
})
