import { appendFileSync, cpSync, mkdtempSync, readdirSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { afterEach, describe, expect, it } from 'vitest'
import { makeSite, people } from '../../support/site.ts'
import { attend, close, find, identify, prove, report, restoreAll } from '../../support/walking.ts'

const folders: string[] = []
afterEach(() => {
  for (const folder of folders.splice(0)) rmSync(folder, { recursive: true })
})

const table = `
## Tests after work

| Cause | Test | By | Source |
| --- | --- | --- | --- |
| Supply fuse blown | Current against the rating | technician | Demo value |
| every repair | Outputs dead with the drive off | second person | Demo value |
`

/** The small test knowledge, with tests after work. */
function withTests(): string {
  const folder = mkdtempSync(path.join(tmpdir(), 'tests-after-work-'))
  folders.push(folder)
  cpSync(path.join(import.meta.dirname, '../../support/knowledge'), folder, { recursive: true })
  for (const file of readdirSync(path.join(folder, 'equipment')))
    appendFileSync(path.join(folder, 'equipment', file), table)
  return folder
}

async function provedFault() {
  const site = await makeSite({ knowledgeDir: withTests() })
  const wren = await site.as('wren')
  const fault = await report(wren)
  await attend(wren, fault)
  await find(wren, fault, 'supply', 'none')
  await identify(wren, fault)
  const repair = { action: 'fuse replaced', words: 'Same rating fitted.', blewIt: 'a strand across S2' }
  await wren.post(`/faults/${fault}/repairs`, repair)
  await restoreAll(wren, fault)
  await prove(wren, fault, 'supply', '110')
  await wren.post(`/faults/${fault}/proof/symptom`, { word: 'gone' })
  return { site, wren, fault }
}

const proven = { outcome: 'proven cause', changed: 'fuse' }
const passed = { passed0: 'yes', madeBy0: people.wren.name, passed1: 'yes', madeBy1: 'Robin Example' }

describe('tests after work', () => {
  it('hold up the signature until each has passed, a second person’s by somebody else', async () => {
    const { site, wren, fault } = await provedFault()
    const form = await wren.open(`/faults/${fault}/closure`)
    expect(form.text).toContain('Current against the rating')
    expect(form.text).toContain('Outputs dead with the drive off')
    const none = await close(wren, fault, people.wren.name, proven)
    expect(none.text).toContain('Test after work not passed yet: Current against the rating.')
    const alone = { ...proven, ...passed, madeBy1: people.wren.name }
    const own = await close(wren, fault, people.wren.name, alone)
    expect(own.text).toContain('A second person makes this test: Outputs dead with the drive off.')
    expect(own.html).toContain(`value="${people.wren.name}"`)
    expect(site.deps.storage.faults.get(fault).closure).toBeNull()
  })

  it('are read once more, signed, and stand in the record', async () => {
    const { site, wren, fault } = await provedFault()
    const review = await wren.post(`/faults/${fault}/closure/review`, {
      id: crypto.randomUUID(),
      words: 'as recorded',
      ...proven,
      ...passed,
    })
    expect(review.text).toContain('Outputs dead with the drive off: passed, by Robin Example, second person')
    expect(review.html).toContain('name="madeBy1" value="Robin Example"')
    await close(wren, fault, people.wren.name, { ...proven, ...passed })
    expect(site.deps.storage.faults.get(fault).closure?.testsAfterWork).toEqual([
      { test: 'Current against the rating', by: 'technician', madeBy: people.wren.name },
      { test: 'Outputs dead with the drive off', by: 'second person', madeBy: 'Robin Example' },
    ])
    const record = await wren.get(`/faults/${fault}/record`)
    expect(record.text).toContain('Outputs dead with the drive off: passed, by Robin Example, second person')
  })

  it('are not asked for where no cause is proved', async () => {
    const { wren, fault } = await provedFault()
    const closed = await close(wren, fault, people.wren.name, { outcome: 'probable cause' })
    expect(closed.location).toBe(`/faults/${fault}/record`)
  })
})
