import { afterAll, describe, expect, it } from 'vitest'
import { makeSite, type Site } from '../../support/site.ts'
import type { Visitor } from '../../support/visitor.ts'
import { attend, find, report } from '../../support/walking.ts'
import { chain, closedBefore, knowledgeFolder, share } from './likely-knowledge.ts'

const folders: { remove(): void }[] = []
afterAll(() => {
  for (const folder of folders) folder.remove()
})

async function siteOn(trees: Record<string, string>, causes: Record<string, number>): Promise<Site> {
  const folder = knowledgeFolder(trees, causes)
  folders.push(folder)
  return makeSite({ knowledgeDir: folder.path })
}

async function begun(wren: Visitor, fields: Record<string, string> = {}): Promise<string> {
  const fault = await report(wren, fields)
  await attend(wren, fault)
  return fault
}

describe('the suggestion beside the author’s check', () => {
  it('differs at a position with a history of its own, and says why', async () => {
    const site = await siteOn({ dead: chain }, share)
    closedBefore(site, 'up', ['lamp', 'lamp', 'lamp', 'lamp', 'feeder'])
    const wren = await site.as('wren')
    const up = await wren.open(`/faults/${await begun(wren)}/next`)
    expect(up.text).toContain('Look at the supply.')
    expect(up.text).toMatch(/Lamp first: about \d+ minutes sooner here\./)
    expect(up.text).toContain('Do “Lamp” first')
    const down = await wren.open(`/faults/${await begun(wren, { position: 'down' })}/next`)
    const saved = (text: string) => Number(/first: about (\d+) minute/.exec(text)?.[1] ?? 0)
    expect(saved(down.text)).toBeLessThan(saved(up.text))
  })

  it('stands once on a page, and not where it would save less than a minute', async () => {
    const site = await siteOn({ dead: chain.replace('Takes: 1 min', 'Takes: 30 min') }, share)
    const wren = await site.as('wren')
    const fault = await begun(wren)
    expect((await wren.open(`/faults/${fault}/next`)).html).not.toContain('aria-label="Suggestion"')
    expect((await wren.get(`/faults/${fault}/likely`)).html).not.toContain('aria-label="Suggestion"')
    const other = await siteOn({ dead: chain }, { ...share, lamp: 9 })
    const moss = await other.as('moss')
    const there = await begun(moss)
    for (const address of ['next', 'likely']) {
      const { html } = await moss.open(`/faults/${there}/${address}`)
      expect(html.split('aria-label="Suggestion"')).toHaveLength(2)
    }
  })

  it('goes on record as followed when it is taken, and as not followed when the author’s check is done', async () => {
    const site = await siteOn({ dead: chain }, { ...share, lamp: 9 })
    const wren = await site.as('wren')
    const fault = await begun(wren)
    const page = await wren.open(`/faults/${fault}/next`)
    const field = (name: string) =>
      new RegExp(`name="${name}" value="([^"]*)"`).exec(page.html.split('Suggestion')[1] ?? '')?.[1] ?? ''
    const form = { from: field('from'), to: field('to'), suggested: 'yes', reason: field('reason') }
    expect(form.to).toBe('dead#lamp')
    expect((await wren.post(`/faults/${fault}/departures`, form)).status).toBe(303)
    expect(site.deps.storage.suggestions.counts()).toEqual({ made: 1, followed: 1 })
    expect((await wren.open(`/faults/${fault}/next`)).text).toContain('Look at the lamp.')
    const other = await begun(wren, { position: 'down' })
    const shown = (await wren.open(`/faults/${other}/next`)).html
    const offered = /name="offered" value="([^"]*)"/.exec(shown)?.[1] ?? ''
    expect(offered).toMatch(/^dead#lamp \d/)
    await find(wren, other, 'supply', '=there', { offered })
    expect(site.deps.storage.suggestions.counts()).toEqual({ made: 2, followed: 1 })
  })

  it('shows the cautions of another tree in full before it can be taken', async () => {
    const dead = chain.replace('[Drive](#drive)', '[Drive](far.md#drive)').split('## Drive')[0] ?? ''
    const far = `> **Caution** Trains run at the far end.\n\n${chain.slice(chain.indexOf('## Drive'))}`
    const site = await siteOn({ dead, far }, { ...share, lamp: 9 })
    const wren = await site.as('wren')
    const fault = await begun(wren)
    for (const address of ['next', 'likely']) {
      const { html } = await wren.open(`/faults/${fault}/${address}`)
      const suggestion = html.split('aria-label="Suggestion"')[1] ?? ''
      expect(suggestion.indexOf('Trains run at the far end.')).toBeGreaterThan(0)
      expect(suggestion.indexOf('Trains run at the far end.')).toBeLessThan(suggestion.indexOf('<button'))
      expect(suggestion).toContain('aria-label="Caution"')
    }
  })

  it('never sends to a check that disturbs while the evidence is held', async () => {
    const disturbing = chain
      .replace('Look at the lamp.', '> **Caution** The glass breaks.\n\nTake the lens off.')
      .replace('- Observe: lamp', '- Observe: lamp\n- Disturbs: the lens')
      .replace('All was healthy.', 'Put the lens back.')
    const site = await siteOn(
      { dead: disturbing.replace('- Takes: 8 min', '- Takes: 1 min') },
      { ...share, lamp: 9 },
    )
    const wren = await site.as('wren')
    const fault = await begun(wren, { protection: 'lost' })
    expect((await wren.open(`/faults/${fault}/likely`)).text).not.toContain('Do “Lamp” first')
  })
})

describe('the page about what it is likely to be', () => {
  it('gives each chance its reasons, with what was found here before', async () => {
    const site = await siteOn({ dead: chain }, share)
    closedBefore(site, 'up', ['lamp', 'lamp', 'lamp', 'lamp', 'feeder'])
    const wren = await site.as('wren')
    const fault = await begun(wren)
    await find(wren, fault, 'supply', '=there')
    const { text } = await wren.get(`/faults/${fault}/likely`)
    expect(text).toContain('4 of 5 earlier faults here.')
    expect(text).toContain('Supply: there. Speaks for this.')
    expect(text).toContain("The author's estimate")
    expect(text).toMatch(/Ruled out, and by what feeder Supply/)
    expect(text).not.toMatch(/NaN|Infinity|undefined/)
  })

  it('lets “something not in this tree” grow when nothing fits what is found', async () => {
    const site = await siteOn({ dead: chain }, share)
    const wren = await site.as('wren')
    const fault = await begun(wren)
    const outside = async () => {
      const { text } = await wren.get(`/faults/${fault}/likely`)
      return Number(/not in this tree: (\d+) %/.exec(text)?.[1] ?? Number.NaN)
    }
    const seen = [await outside()]
    for (const [check, found] of [
      ['supply', '=there'],
      ['drive', '=there'],
      ['lamp', '=lit'],
    ] as const) {
      await find(wren, fault, check, found)
      seen.push(await outside())
    }
    expect(seen).toEqual([...seen].sort((a, b) => a - b))
    expect(seen[3]).toBeGreaterThan(4 * (seen[0] ?? 0))
    expect((await wren.get(`/faults/${fault}/likely`)).text).not.toMatch(/Most likely: /)
  })

  it('says that a fault that comes and goes rules little out', async () => {
    const site = await siteOn({ dead: chain }, share)
    const wren = await site.as('wren')
    const fault = await begun(wren, { intermittent: 'yes' })
    await find(wren, fault, 'supply', '=there')
    const { text } = await wren.get(`/faults/${fault}/likely`)
    expect(text).toContain('A fault that comes and goes may hide while it is looked for')
    expect(text).not.toContain('Ruled out, and by what')
  })

  it('makes sense of one cause with next to no share', async () => {
    const one = chain
      .slice(0, chain.indexOf('## Drive'))
      .replace('[Drive](#drive)', '[Nothing found](#nothing-found)')
    const tree = `${one}\n${chain.slice(chain.indexOf('## Nothing found'))}`
    const site = await siteOn({ dead: tree }, { feeder: 0.0001 })
    const wren = await site.as('wren')
    const fault = await begun(wren)
    const { text, status } = await wren.get(`/faults/${fault}/likely`)
    expect(status).toBe(200)
    expect(text).toContain('feeder')
    expect(text).not.toMatch(/NaN|Infinity|undefined/)
    await find(wren, fault, 'supply', '=there')
    expect((await wren.get(`/faults/${fault}/likely`)).text).not.toMatch(/NaN|Most likely: feeder/)
  })
})

describe('when it may be back', () => {
  it('stands on the fault page for the report to the signaller, and moves with what is found', async () => {
    const site = await siteOn({ dead: chain }, share)
    const wren = await site.as('wren')
    const fault = await begun(wren)
    const times = async () =>
      /most likely back by (\d\d:\d\d) ?, nine in ten by (\d\d:\d\d)/.exec(
        (await wren.get(`/faults/${fault}`)).text,
      ) ?? []
    const [, likely = '', ninety = ''] = await times()
    expect(likely).toMatch(/^\d\d:\d\d$/)
    expect(ninety > likely).toBe(true)
    await find(wren, fault, 'supply', '=none')
    const [, later = ''] = await times()
    expect(later).not.toBe('')
    expect(later).not.toBe(likely)
  })
})

describe('what a tree costs, for its author', () => {
  it('stands on a page of its own: as written, the best order, and the checks that part nothing', async () => {
    const site = await siteOn({ dead: chain }, share)
    const odo = await site.as('odo')
    expect((await odo.get('/knowledge/dead')).html).toContain('/knowledge/dead/cost')
    const { text, status } = await odo.get('/knowledge/dead/cost')
    expect(status).toBe(200)
    expect(text).toMatch(/As written \d+\.\d min Best order there is \d+\.\d min/)
    expect(text).toContain('Checks that separate nothing None.')
    expect(text).not.toMatch(/NaN|undefined/)
  })
})
