import { beforeAll, expect, it } from 'vitest'
import { siteMap } from '../../../server/web/routes.ts'
import { makeTarget, type Target } from '../../attack/addresses.ts'
import { filesBelow, textOf } from '../../repo/files.ts'
import { makeSite } from '../../support/site.ts'

// OWASP Application Security Verification Standard 5.0, by the numbers at each (read in source).

let target: Target
beforeAll(async () => {
  target = await makeTarget()
})

/** The boxes of a page, each as its attributes. */
function boxes(html: string): Record<string, string>[] {
  return [...html.matchAll(/<input\b([^>]*)>/g)].map(([, all = '']) =>
    Object.fromEntries([...all.matchAll(/([\w-]+)="([^"]*)"/g)].map(([, name, value]) => [name, value])),
  )
}

// 6.2.6 and 6.2.7
it('every box for a PIN or password is covered, and tells a password manager what it is for', async () => {
  const [isla, rue] = [await target.site.as('isla'), await target.site.as('rue')]
  target.site.deps.storage.people.update('rue', { given: 'PIN and password' })
  const empty = await makeSite({ empty: true })
  const pages = [
    await empty.stranger().get('/setup'),
    await target.site.visitor().get('/sign-in'),
    await target.site.stranger().get('/sign-in'),
    await rue.get('/me/own'),
    await isla.get('/me'),
    await isla.get('/people'),
  ]
  for (const { html } of pages) {
    const secrets = boxes(html).filter(({ name = '' }) => /^(pin|password|now|secret)$/.test(name))
    expect(secrets.length).toBeGreaterThan(0)
    for (const { type, autocomplete } of secrets) {
      expect(type).toBe('password')
      expect(autocomplete).toMatch(/^(current|new)-password$/)
    }
  }
  target.site.deps.storage.people.update('rue', { given: null })
})

// 6.2.7
it('no page and no script stands in the way of pasting', () => {
  for (const file of [...filesBelow('views', '.ejs'), ...filesBelow('views', '.js')])
    expect(textOf(file), file).not.toMatch(/['"\s]on(paste|beforeinput)\b|['"](paste|beforeinput)['"]/i)
})

/** Not a page: a file to keep and to send on, which shows the same to everybody. */
const caseFile = '/review/positions/:position/case-file'

// 7.4.4
it('every page for somebody signed in has the way to sign out', async () => {
  const visitors = [await target.site.as('wren'), await target.site.as('isla')]
  const seen = new Set<string>()
  for (const route of siteMap.filter(({ method, may }) => method === 'get' && may !== 'anyone')) {
    for (const visitor of visitors) {
      const page = await visitor.get(target.addressOf(route))
      if (!page.html.includes('<!doctype html>') || route.path === caseFile) continue
      seen.add(route.path)
      expect(page.html, route.path).toContain('action="/sign-out"')
    }
  }
  expect(seen.size).toBeGreaterThan(30)
})
