import { describe, expect, it } from 'vitest'
import { makeSite } from '../../support/site.ts'
import { attend, find, report } from '../../support/walking.ts'

describe('on a walk', () => {
  it('a report of a mismatch offers to attach a picture to it', async () => {
    const site = await makeSite()
    const wren = await site.as('wren')
    const fault = await report(wren)
    await attend(wren, fault)
    const fields = {
      tree: 'dead',
      check: 'supply',
      kind: 'drawing or label does not match',
      words: 'S2 is on the left',
    }
    const { location } = await wren.post(`/faults/${fault}/reports`, fields)
    const page = await wren.get(location)
    expect(page.text).toContain('Attach a picture of it')
    const id = new URL(location, 'http://site').searchParams.get('reported')
    expect(page.html).toContain(`name="report" value="${id}"`)
  })

  it('the page of how it stands draws where in the tree the walk stands', async () => {
    const site = await makeSite()
    const wren = await site.as('wren')
    const fault = await report(wren)
    await attend(wren, fault)
    await find(wren, fault, 'supply', '110')
    const page = await wren.get(`/faults/${fault}/status`)
    expect(page.text).toContain('You are here')
    expect(page.html).toMatch(/<svg[^>]*>[\s\S]*Loop resistance[\s\S]*<\/svg>/)
  })
})
