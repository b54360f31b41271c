import { expect, it } from 'vitest'
import { makeSite } from '../../support/site.ts'
import { attend, report } from '../../support/walking.ts'

it('stands on every page of the walk with the time that is left, and says when it is past', async () => {
  const site = await makeSite()
  const wren = await site.as('wren')
  const fault = await report(wren)
  await attend(wren, fault, { finish: '2026-11-02T02:30' })
  const check = `/faults/${fault}/checks/dead/supply`
  expect((await wren.get(check)).text).toMatch(/Finish by 02:30 ?, 1 h (29|30) min left/)
  site.pass(100)
  expect((await (await site.as('wren')).get(check)).text).toMatch(/Finish by 02:30 ?, 1[01] min over/)
})
