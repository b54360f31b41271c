import { describe, expect, it } from 'vitest'
import { compile } from '../../server/knowledge/compile.ts'
import { instrumentByWords } from '../../server/knowledge/link/legacy-roles.ts'
import { readKnowledge } from '../../server/knowledge/load.ts'
import type { Knowledge, SourceFile } from '../../server/knowledge/types.ts'
import { changed, guideFolder } from './folder.ts'

/** The guide's folder as it was written before there were roles, with more in it. */
function withoutRoles(facts: string, limits: string, check: string): SourceFile[] {
  return [
    {
      path: 'equipment/line.md',
      text: `# Line

## Facts

| Fact | Unit or choices | Meaning |
| --- | --- | --- |
${facts}

## Limits

| Limit | Value | Unit | Source |
| --- | --- | --- | --- |
${limits}
`,
    },
    {
      path: 'trees/dead.md',
      text: `# Dead

- Equipment: [Line](../equipment/line.md)
- Symptom: dead
- Start: [Check](#check)

## Check

Measure it.

${check}

| Finding | Means | Next |
| --- | --- | --- |
| in range | Well. | [Well](#well) |
| otherwise | Not well. | [Well](#well) |

## Well

- End: healthy

It is well.
`,
    },
  ]
}

function compiled(files: SourceFile[]) {
  const { knowledge, problems } = compile(files)
  const check = knowledge?.trees.get('dead')?.checks.get('check')
  const kit = knowledge?.equipment.get('line')
  if (!check || !kit || check.does.kind !== 'measure') throw new Error(JSON.stringify(problems))
  const missing = problems.filter(problem => problem.code === 'role-missing')
  return { kit, check, does: check.does, missing }
}

const loopSpacing = '| spacing | 10 to 12 | m | Demo value |'

describe('what an instrument must do, by the words of an old edition', () => {
  it('is read from its lines', () => {
    const contact = instrumentByWords(['Four-wire meter', 'Test voltage at most 20 mV']).instrument
    expect(contact).toMatchObject({ method: '4-wire', mostTestVoltage: 0.02, testVoltage: null })
    const tester = instrumentByWords(['insulation tester, 500 V test voltage'])
    expect(tester).toMatchObject({ instrument: { testVoltage: 500 }, insulationTest: true })
    expect(instrumentByWords(['electronics still connected'])).toMatchObject({
      instrument: { electronicsConnected: true },
      insulationTest: true,
    })
    expect(instrumentByWords(['line blockage'])).toMatchObject({
      instrument: { method: null, testVoltage: null },
      insulationTest: false,
    })
    expect(instrumentByWords(['volt drop under load']).instrument.method).toBe('volt drop under load')
    expect(instrumentByWords(['250 V DC test voltage']).instrument.testVoltage).toBe(250)
  })
})

describe('an edition from before roles', () => {
  it('has its facts by name and unit, of two the first', () => {
    const facts = [
      '| running | normal / opposite | Way |',
      '| cable length | m | Cable |',
      '| loop spacing | m | Spacing |',
      '| main fuse rating | A | Fuse |',
      '| second fuse rating | A | Fuse |',
      '| fuse rating words | big / small | Fuse |',
      '| arming tone | kHz | Tone |',
      '| trigger tone | kHz | Tone |',
      '| load | A | Load |',
    ]
    const check = '- Measure: spacing of the loops\n- Expect: spacing'
    const { kit } = compiled(withoutRoles(facts.join('\n'), loopSpacing, check))
    expect(kit.facts.map(fact => fact.role)).toEqual([
      'direction',
      'cable length',
      'loop spacing',
      'fuse rating',
      null,
      null,
      'tone',
      'tone',
      null,
    ])
  })

  it('has the tones of limits named for a direction', () => {
    const limits = [
      '| arming tone, opposite direction | 64.75 kHz ± 0.25 kHz | kHz | Demo value |',
      '| opposite current | 1 to 2 | A | Demo value |',
    ]
    const check = '- Measure: tone\n- Expect: arming tone, opposite direction'
    const { kit } = compiled(withoutRoles('| way | normal / opposite | Way |', limits.join('\n'), check))
    expect(kit.limits.map(({ role, tone }) => ({ role, tone }))).toEqual([
      { role: 'tone', tone: { purpose: 'arming tone', direction: 'opposite' } },
      { role: null, tone: null },
    ])
  })

  it.each([
    ['the quantity', '- Measure: insulation of the loop\n- Expect: loop', 'insulation'],
    ['the limit', '- Measure: resistance\n- Expect: screen isolation', 'insulation'],
    ['the needs', '- Measure: resistance\n- Expect: loop\n- Needs: insulation tester', 'insulation'],
    ['no word', '- Measure: resistance\n- Expect: loop', null],
    ['a word with another unit', '- Measure: insulation current\n- Expect: leak', null],
    ['the spacing', '- Measure: the spacing on the ground\n- Expect: spacing', 'loop spacing'],
  ])('has what a check is about by %s', (_, check, role) => {
    const limits = [
      loopSpacing,
      '| loop | at least 1 | Mohm | Demo value |',
      '| screen isolation | at least 1 | Mohm | Demo value |',
      '| leak | at most 1 | mA | Demo value |',
    ]
    expect(compiled(withoutRoles('| load | A | Load |', limits.join('\n'), check)).does.role).toBe(role)
  })

  it('is told to declare what its words say, and goes on being used', () => {
    const check = '- Measure: insulation\n- Expect: loop\n- Needs: insulation tester, 500 V test voltage'
    const facts = '| fuse rating | A | Fuse |'
    const old = withoutRoles(facts, '| loop | at least 1 | Mohm | Demo value |', check)
    expect(compiled(old).missing.map(({ severity, source }) => [severity, source.path])).toEqual([
      ['warning', 'equipment/line.md'],
      ['warning', 'trees/dead.md'],
    ])
  })
})

describe('the pack, the day before it declared roles', () => {
  const now = readKnowledge('knowledge').files
  const before = now.map(file => ({ ...file, text: undeclared(file.text) }))

  it('meant what it means now', () => {
    const [old, declared] = [compile(before), compile(now)]
    expect(declared.problems).toEqual([])
    expect(new Set(old.problems.map(problem => problem.code))).toEqual(new Set(['role-missing']))
    expect(old.knowledge && meanings(old.knowledge)).toEqual(
      declared.knowledge && meanings(declared.knowledge),
    )
    expect(declared.knowledge && JSON.stringify(meanings(declared.knowledge))).toContain('fuse rating')
  })
})

/** The text without the column `Role` and the keys of instruments. */
function undeclared(text: string): string {
  const keys = /^- (Method|Test voltage|Frequency|Electronics connected): .*\n/gm
  return text.replace(keys, '').replace(/^## (?:Facts|Limits)\n\n[^#]*/gm, table => {
    return /\| Role \|$/m.test(table) ? table.replace(/ [^|\n]+ \|$/gm, '') : table
  })
}

function meanings({ equipment, trees }: Knowledge) {
  return {
    facts: [...equipment.values()].map(kit => kit.facts.map(({ name, role }) => ({ name, role }))),
    tones: [...equipment.values()].map(kit => kit.limits.map(({ name, tone }) => ({ name, tone }))),
    checks: [...trees.values()].flatMap(tree =>
      [...tree.checks.values()].map(({ slug, does, instrument, insulationTest }) => ({
        slug,
        role: does.kind === 'measure' ? does.role : null,
        // What words never said of an instrument: its frequency.
        instrument: { ...instrument, frequency: null },
        insulationTest,
      })),
    ),
  }
}

describe('a file that declares', () => {
  it('means what it declares and not what its words say', () => {
    const check = '- Measure: insulation\n- Expect: loop\n- Method: four-wire\n- Test voltage: at most 20 mV'
    const [kitFile, tree] = withoutRoles('FACTS', 'LIMITS', check)
    const text = (kitFile?.text ?? '')
      .replace('| Meaning |\n| --- |', '| Meaning | Role |\n| --- | --- |')
      .replace('FACTS', '| fuse rating | A | Fuse | – |\n| run of cable | km | Cable | cable length |')
      .replace('LIMITS', '| loop | at least 1 | Mohm | Demo value |')
    const {
      kit,
      check: made,
      does,
      missing,
    } = compiled([{ path: 'equipment/line.md', text }, ...(tree ? [tree] : [])])
    expect(kit.facts.map(fact => fact.role)).toEqual([null, 'cable length'])
    expect(does.role).toBeNull()
    expect(made.insulationTest).toBe(false)
    expect(made.instrument).toEqual({
      method: '4-wire',
      testVoltage: null,
      mostTestVoltage: 0.02,
      electronicsConnected: false,
      frequency: null,
    })
    expect(missing).toEqual([])
  })

  it('is about insulation by its method, whatever its limit', () => {
    const files = changed(
      guideFolder,
      '```diff trees/small-output-dead.md\n  - Expect: loop resistance\n+ - Method: insulation test\n+ - Test voltage: 500 V\n```',
    )
    const check = compile(files).knowledge?.trees.get('small-output-dead')?.checks.get('loop')
    expect(check).toMatchObject({
      does: { role: 'insulation' },
      insulationTest: true,
      instrument: { method: null, testVoltage: 500 },
    })
  })
})
