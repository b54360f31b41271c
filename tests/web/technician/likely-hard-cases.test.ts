import { afterEach, describe, expect, it } from 'vitest'
import { makeSite, type Site } from '../../support/site.ts'
import type { Visitor } from '../../support/visitor.ts'
import { attend, find, identify, report } from '../../support/walking.ts'
import { chain, knowledgeFolder, share } from './likely-knowledge.ts'

let folder: { remove(): void } | undefined
afterEach(() => folder?.remove())

async function begun(tree: string, causes: Record<string, number> = share): Promise<[Visitor, string, Site]> {
  const made = knowledgeFolder({ dead: tree }, causes)
  folder = made
  const site = await makeSite({ knowledgeDir: made.path })
  const wren = await site.as('wren')
  const fault = await report(wren)
  await attend(wren, fault)
  return [wren, fault, site]
}

/** Leaves the tree's order for another check, with a reason. */
function depart(visitor: Visitor, fault: string, from: string, to: string) {
  return visitor.post(`/faults/${fault}/departures`, { from, to: `dead#${to}`, reason: 'on the way there' })
}

const likely = async (visitor: Visitor, fault: string) => {
  const { text, status } = await visitor.get(`/faults/${fault}/likely`)
  expect(status).toBe(200)
  expect(text).not.toMatch(/NaN|Infinity|undefined/)
  return text
}

describe('the page about what it is likely to be, where findings are hard to make sense of', () => {
  it('says that no single cause fits, and names the pair that does', async () => {
    const [wren, fault] = await begun(chain)
    await depart(wren, fault, 'dead#supply', 'drive')
    await find(wren, fault, 'drive', '=none')
    expect(await likely(wren, fault)).not.toContain('Two faults at once?')
    await depart(wren, fault, 'small-transmitter/drive', 'supply')
    await find(wren, fault, 'supply', '=none')
    const text = await likely(wren, fault)
    expect(text).toContain('Two faults at once? No single cause fits all that was found.')
    expect(text).toMatch(/fit: drive and feeder|feeder and drive/)
    expect(text).not.toMatch(/Most likely: /)
  })

  it('puts the check first that the one at hand relies on, after a jump', async () => {
    const order = chain
      .replace('Look at the drive.', '> **Caution** Live parts.\n\nLook at the drive.')
      .replace('[Lamp](#lamp)', '[Cover](#cover)')
      .replace(
        '## Lamp',
        `## Cover

Look at the cover.

- Observe: cover
- Takes: 1 min

| Finding | Means | Next |
| --- | --- | --- |
| whole | Healthy. | [Lamp](#lamp) |
| broken | Somebody was here. | [Nothing found](#nothing-found) |

## Lamp`,
      )
      .replace('Look at the lamp.', '> **Caution** The glass breaks.\n\nLook at the lamp.')
      .replace('- Observe: lamp', '- Observe: lamp\n- Disturbs: the lens')
      .replace('All was healthy.', 'Put the lens back.')
    const [wren, fault] = await begun(order)
    await find(wren, fault, 'supply', '=there')
    await depart(wren, fault, 'dead#drive', 'cover')
    await find(wren, fault, 'cover', '=whole')
    await identify(wren, fault)
    const { text } = await wren.open(`/faults/${fault}/next`)
    expect(text).toContain('Look at the lamp.')
    expect(text).toContain('Drive first. “Lamp” relies on it.')
    expect(text).toContain('Do “Drive” first')
  })
})
