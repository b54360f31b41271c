import { expect, it } from 'vitest'
import { siteMap } from '../../server/web/routes.ts'
import { makeTarget } from './addresses.ts'

it('every file that is taken out has a name of ours that nobody’s words break out of', async () => {
  const { site, addressOf } = await makeTarget()
  const isla = await site.as('isla')
  const odo = await site.as('odo')
  const named: string[] = []
  for (const route of siteMap.filter(({ method }) => method === 'get'))
    for (const visitor of [isla, odo]) {
      const { headers, status } = await visitor.agent.get(addressOf(route))
      const said = headers['content-disposition']
      if (status === 200 && said) named.push(said)
    }
  expect(named.length).toBeGreaterThan(4)
  for (const one of named)
    expect(one).toMatch(/^attachment; filename="?[a-z0-9][a-z0-9_.-]*\.(csv|html|md|txt|zip)"?$/)
})

it('nor does a plate that was brought in with a trick in it', async () => {
  const { site } = await makeTarget()
  const isla = await site.as('isla')
  const known = site.deps.storage.positions.get('up')
  const plate = 'x"; filename="harm.exe\r\nX-Harm: yes\u0000/../é'
  site.deps.storage.positions.create({ ...known, id: 'odd', name: 'Odd', plate })
  const { headers, status } = await isla.agent.get('/review/positions/odd/case-file')
  expect([status, headers['x-harm']]).toEqual([200, undefined])
  expect(headers['content-disposition']).toMatch(/^attachment; filename="[a-z0-9_-]+\.html"$/)
})
