import { describe, expect, it } from 'vitest'
import { makeSite } from '../../support/site.ts'
import { attend, find, report } from '../../support/walking.ts'

describe('before you start', () => {
  it('takes a phrase of the depot’s list, words, or both, and answers nothing beforehand', async () => {
    const site = await makeSite({ env: { PROTECTION_PHRASES: 'line blocked; lookout posted' } })
    const wren = await site.as('wren')
    const fault = await report(wren)
    const { html } = await wren.get(`/faults/${fault}/attendances/new`)
    expect(html).toContain('value="lookout posted"')
    expect(html).not.toMatch(/<input[^>]*\bchecked\b/)
    await attend(wren, fault, {
      protectionPhrase: 'lookout posted',
      protection: 'by Moss',
      isolation: 'none',
    })
    const [attendance] = site.deps.storage.faults.get(fault).attendances
    expect(attendance?.protectionWords).toBe('lookout posted, by Moss')
    expect(attendance?.isolationWords).toBe('none')
  })

  it('wants protection and isolation said', async () => {
    const wren = await (await makeSite()).as('wren')
    const fault = await report(wren)
    const { status, text } = await attend(wren, fault, { protection: '', isolation: '' })
    expect(status).toBe(400)
    expect(text).toContain('Say how you are protected from trains')
    expect(text).toContain('Say what is isolated')
  })

  it('compares the plate where it is typed, and begins nothing with another one', async () => {
    const site = await makeSite()
    const wren = await site.as('wren')
    const fault = await report(wren)
    const wrong = await attend(wren, fault, { plate: 'WH-3-D' })
    expect(wrong.text).toContain('That is the plate of Overspeed loops, down')
    expect(site.deps.storage.faults.get(fault).attendances).toEqual([])
    await attend(wren, fault, { plate: 'wh 3 u' })
    expect(site.deps.storage.faults.get(fault).identities).toMatchObject([{ matched: true }])
  })

  it('asks for the plate before the first reading where it was not typed, and takes a reading that came first', async () => {
    const site = await makeSite()
    const wren = await site.as('wren')
    const fault = await report(wren)
    await attend(wren, fault, { plate: '' })
    const { location } = await wren.get(`/faults/${fault}/checks/dead/supply`)
    expect(location).toBe(`/faults/${fault}/identity`)
    await find(wren, fault, 'supply', '110')
    expect(site.deps.storage.faults.get(fault).findings).toHaveLength(1)
  })

  it('has each warning in a box of its own and all other cautions in one, none folded away', async () => {
    const wren = await (await makeSite()).as('wren')
    const fault = await report(wren)
    const { html } = await wren.get(`/faults/${fault}/attendances/new`)
    const boxes = html.match(/aria-label="(Caution|Warning)"/g) ?? []
    expect(boxes.filter(one => one.includes('Caution'))).toHaveLength(1)
    expect(html).toContain('never says that it is safe to be on the track')
  })
})
