import { expect, it } from 'vitest'
import { makeSite } from '../../support/site.ts'
import { report } from '../../support/walking.ts'

it('gives each fault a short number of its own, shown on its page, in lists and on its record', async () => {
  const site = await makeSite()
  const wren = await site.as('wren')
  const [first, second] = [await report(wren), await report(wren, { position: 'down' })]
  const numberOf = (id: string) => site.deps.storage.faults.get(id).fault.number ?? 0
  expect(numberOf(second)).toBe(numberOf(first) + 1)
  const words = `Fault ${numberOf(second)}`
  for (const address of ['/faults', `/faults/${second}`, `/faults/${second}/record`])
    expect((await wren.get(address)).text).toContain(words)
})

it('changes no number', async () => {
  const site = await makeSite()
  await report(await site.as('wren'))
  expect(() => site.db.exec('UPDATE fault_numbers SET number = 7')).toThrow('fault numbers only append')
})
