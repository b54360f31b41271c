import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { describe, expect, it } from 'vitest'
import { compile } from '../../../server/knowledge/compile.ts'
import { demoLimits, limitUses } from '../../../server/knowledge/limit-use.ts'
import { readKnowledge } from '../../../server/knowledge/load.ts'
import { makeSite, people } from '../../support/site.ts'

const small = path.join(import.meta.dirname, '../../support/knowledge')
const words = '2 limits are demo values, not your railway’s.'
const everyone = Object.keys(people) as (keyof typeof people)[]

describe('demo limits on real data', () => {
  it('are said on every page, to everybody and before signing in', async () => {
    const site = await makeSite()
    for (const who of everyone) {
      const visitor = await site.as(who)
      for (const address of ['/sites', '/me', '/sources', '/no-such-page'])
        expect((await visitor.get(address)).text, `${who} at ${address}`).toContain(words)
    }
    expect((await site.visitor().get('/sign-in')).text).toContain(words)
  })

  it('are not, in a demo that says what it is', async () => {
    const site = await makeSite({ demoNotice: 'Demo: made up.' })
    const page = (await (await site.as('isla')).get('/sites')).text
    expect(page).toContain('Demo: made up.')
    expect(page).not.toContain('demo values')
  })

  it('nor once each limit is its owner’s', async () => {
    const dir = mkdtempSync(path.join(tmpdir(), 'owned-'))
    cpSync(small, dir, { recursive: true })
    const file = path.join(dir, 'equipment/small-transmitter.md')
    writeFileSync(
      file,
      readFileSync(file, 'utf8').replaceAll('Demo value, for tests', 'Owner’s list 7, line 3'),
    )
    const site = await makeSite({ knowledgeDir: dir })
    rmSync(dir, { recursive: true })
    expect((await (await site.as('wren')).get('/sites')).text).not.toContain('demo value')
  })
})

describe('what a limit decides', () => {
  it('is each check judged by it, whichever way it is named', () => {
    const knowledge = compile(
      readKnowledge(path.join(import.meta.dirname, '../../../knowledge')).files,
    ).knowledge
    if (!knowledge) throw new Error('the pack has errors')
    const uses = limitUses(knowledge)
    const used = new Set(uses.flatMap(({ checks }) => checks))
    const judged = [...knowledge.trees.values()].flatMap(tree =>
      [...tree.checks.values()].filter(({ does }) => does.kind === 'measure' && does.limit !== null),
    )
    expect(judged.length).toBeGreaterThan(100)
    expect(judged.filter(check => !used.has(check)).map(check => check.title)).toEqual([])
    const nothing = uses.find(({ kit, limit }) => kit.slug === 'case-supply' && limit.role === 'nothing')
    expect(nothing?.checks.length).toBeGreaterThan(0)
    const own = [...knowledge.trees.values()].flatMap(tree =>
      [...tree.checks.values()].filter(
        ({ does }) => does.kind === 'measure' && does.limit === null && does.demo,
      ),
    )
    expect(own.length, 'checks that state a demo value for themselves').toBeGreaterThan(0)
    expect(demoLimits(knowledge)).toBe(uses.filter(({ state }) => state === 'demo').length + own.length)
  })
})
