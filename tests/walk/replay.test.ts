import { describe, expect, it } from 'vitest'
import { compile } from '../../server/knowledge/compile.ts'
import type { Knowledge } from '../../server/knowledge/types.ts'
import { parseReading } from '../../server/measurement/readings/reading.ts'
import { judge } from '../../server/measurement/verdicts/verdict.ts'
import { expectedAt } from '../../server/walk/expected.ts'
import { walk } from '../../server/walk/place.ts'
import type { Finding } from '../../server/walk/record.ts'
import { rejudged, replay } from '../../server/walk/replay.ts'
import { changed, guideFolder } from '../knowledge/folder.ts'
import { record } from './small-record.ts'

// Walks on the guide's small transmitter, judged as the pages judge them, then followed on a changed edition.

const slug = 'small-output-dead'
const facts = { direction: 'normal', 'cable length': '100' }

function knowledge(diff = ''): Knowledge {
  const text = diff ? `\`\`\`diff trees/${slug}.md\n${diff}\n\`\`\`\n` : ''
  const compiled = compile(changed(guideFolder, text), { lenient: true })
  if (!compiled.knowledge) throw new Error('nothing could be made of the folder')
  return compiled.knowledge
}

const then = knowledge()

/** Findings by check and by what was found, each judged on the edition of then. */
function findings(...said: [check: string, found: string][]): Finding[] {
  const made: Finding[] = []
  for (const [at, [check, found]] of said.entries()) {
    const base = {
      id: `f${at}`,
      attendanceId: 'a',
      at: `2026-03-03T08:0${at}:00.000Z`,
      by: 'ada',
      byName: 'Ada',
    }
    const rest = {
      ...base,
      seq: at + 1,
      replaces: null,
      reason: null,
      note: null,
      check: { tree: slug, check },
    }
    const known = then.trees.get(slug)?.checks.get(check)
    const kit = then.equipment.get('small-transmitter')
    if (!known || !kit) throw new Error(`no check ${check}`)
    if (known.does.kind === 'observe') {
      made.push({ ...rest, kind: 'observation', word: found, chosenRow: null })
      continue
    }
    const parsed = parseReading(found, known.does.unit)
    if (!parsed.ok) throw new Error(`no reading ${found}`)
    const { range } = expectedAt(kit, facts, walk(then, slug, made), known)
    const { reading } = parsed
    const verdict = judge(reading, range, null)
    made.push({
      ...rest,
      kind: 'reading',
      text: found,
      reading,
      range,
      verdict,
      chosenRow: null,
      instrument: null,
    })
  }
  return made
}

const walked = (...said: [string, string][]) => record({ findings: findings(...said) }, { tree: slug })
const broken = walked(['supply', '110 V'], ['loop', '9 ohm'])
const low = walked(['supply', '92 V'])

describe('a walk replayed', () => {
  it('on the edition it was walked on changes in nothing', () => {
    for (const one of [broken, low, walked(), walked(['supply', 'none'], ['fuse', 'whole'])])
      expect(replay(then, then, one, facts)).toMatchObject({ change: 'same', minutes: 0 })
  })

  it('tells by how many minutes it would take longer or shorter, getting at things counted once', () => {
    const slower = knowledge('- - Takes: 5 min\n+ - Takes: 12 min')
    expect(replay(then, slower, broken, facts)).toMatchObject({ change: 'longer', minutes: 7 })
    expect(replay(slower, then, broken, facts)).toMatchObject({ change: 'shorter', minutes: -7 })
    expect(replay(then, slower, low, facts)).toMatchObject({ change: 'same', minutes: 0 })
    const opened = knowledge('- - Takes: 5 min\n+ - Takes: 5 min\n+ - Access: open the case')
    expect(replay(then, opened, broken, facts).change).toBe('same')
  })

  it('ends elsewhere where a row leads elsewhere', () => {
    const other = knowledge(
      '- | otherwise | The loop is damaged. | [Loop broken](../equipment/small-transmitter.md#loop-broken) |\n+ | otherwise | The loop is damaged. | [Feeder weak](../equipment/small-transmitter.md#feeder-weak) |',
    )
    const found = replay(then, other, broken, facts)
    expect([found.change, found.before.words, found.after.words]).toEqual([
      'elsewhere',
      'the cause “Loop broken”',
      'the cause “Feeder weak”',
    ])
  })

  it('gets stuck at a check nobody made, and where its tree is gone', () => {
    const asks = knowledge(
      '- | otherwise | The feeder is weak. | [Feeder weak](../equipment/small-transmitter.md#feeder-weak) |\n+ | otherwise | The feeder is weak. | [Loop](#loop) |',
    )
    const found = replay(then, asks, low, facts)
    expect([found.change, found.after.words]).toEqual(['stuck', 'still to do: “Loop”'])
    expect(replay(then, { ...then, trees: new Map() }, low, facts).change).toBe('stuck')
  })

  it('holds its readings against a limit that has changed', () => {
    const files = changed(
      guideFolder,
      '```diff equipment/small-transmitter.md\n- | supply voltage | 99 to 121 | V AC | Demo value |\n+ | supply voltage | 90 to 121 | V AC | Demo value |\n```\n',
    )
    const wider = compile(files, { lenient: true }).knowledge
    if (!wider) throw new Error('nothing could be made of the folder')
    const found = replay(then, wider, low, facts)
    expect([found.before.words, found.after.words, found.change]).toEqual([
      'the cause “Feeder weak”',
      'still to do: “Loop”',
      'stuck',
    ])
  })

  it('takes a formula’s value from the position', () => {
    const [, loop] = rejudged(then, slug, broken.findings, { ...facts, 'cable length': '450' })
    expect(loop?.kind === 'reading' && loop.verdict.side).toBe('in range') // 2 × 450 m × 0.01 ohm/m = 9 ohm, computed
  })
})
