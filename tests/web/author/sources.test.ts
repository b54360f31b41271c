import { describe, expect, it } from 'vitest'
import { makeSite } from '../../support/site.ts'

describe('the page of sources', () => {
  it('names the source of each limit, says which are demo values and which are blank', async () => {
    const wren = await (await makeSite()).as('wren')
    const page = await wren.get('/sources')
    expect(page.status).toBe(200)
    expect(page.text).toContain('Demo value, for tests demo value')
    expect(page.text).toMatch(/loop insulation blank Mohm to be filled in by the owner/)
    expect(page.text).toContain('The knowledge folder has no list of sources')
  })

  it('shows the list that comes with the knowledge', async () => {
    const odo = await (await makeSite({ knowledgeDir: 'knowledge', env: { KNOWLEDGE_DIR: 'knowledge' } })).as(
      'odo',
    )
    expect((await odo.get('/sources')).text).toContain('IEC 60228')
  })
})
