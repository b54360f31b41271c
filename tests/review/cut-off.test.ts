import { expect, it } from 'vitest'
import { readPast } from '../../server/review/past.ts'
import { copyOfDemo } from '../demo/copy.ts'
import { NOW } from '../demo/make.ts'
import { cutOff, dayMs, verdicts } from './cuts.ts'

// The demo's record up to a moment, opened late. Invented data, for the demo only.

const cutMs = NOW.getTime() - 200 * dayMs

it('a record that ended says the same however late it is opened', async () => {
  const storage = cutOff((await copyOfDemo(1)).db.serialize(), cutMs)
  const { history } = storage
  const at = (openedMs: number) => {
    const past = readPast(history, { fromMs: cutMs - 730 * dayMs, toMs: openedMs }, openedMs)
    return { n: past.basis.n, window: past.window, knownDays: past.knownDays }
  }
  const soon = at(cutMs + 60 * dayMs)
  expect(soon.n).toBeGreaterThan(100)
  expect(at(cutMs + 700 * dayMs)).toEqual(soon)
  const told = (openedMs: number) => [...verdicts(storage, openedMs, cutMs - 730 * dayMs)].sort()
  expect(told(cutMs + 700 * dayMs)).toEqual(told(cutMs + 60 * dayMs))
})

it('counts no fault and no day in time that an engineer says is not whole', async () => {
  const { storage } = await copyOfDemo(1)
  const asAtMs = NOW.getTime()
  const window = { fromMs: asAtMs - 730 * dayMs, toMs: asAtMs }
  const whole = readPast(storage.history, window, asAtMs)
  const [since, until] = ['2025-03-01', '2025-11-30']
  const by = storage.people.list()[0]?.id ?? ''
  const span = { by, kind: 'faults' as const, source: 'here', since, until, words: 'the rest was lost' }
  storage.knownSpans.state({ id: 'said', ...span })
  const part = readPast(storage.history, window, asAtMs)
  expect(part.window).toEqual({ fromMs: Date.parse(since), toMs: Date.parse(until) + dayMs })
  expect(part.knownDays).toBe(275)
  const inside = whole.families
    .flatMap(({ times }) => times)
    .filter(at => at >= part.window.fromMs && at < part.window.toMs)
  expect(part.basis.n).toBe(inside.length)
})
