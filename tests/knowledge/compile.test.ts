import { execFile } from 'node:child_process'
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { promisify } from 'node:util'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { compile } from '../../server/knowledge/compile.ts'
import { fileRules, formRules, graphRules, linkRules } from '../../server/knowledge/rules/all.ts'
import type { SourceFile } from '../../server/knowledge/types.ts'
import { guideFolder } from './folder.ts'

const spoilt: SourceFile[] = guideFolder.map(file => ({
  ...file,
  text: file.text
    .replace('Take the fuse out. Look at its wire.', 'Take the fuse out. Check its wire.')
    .replace('- Between: L1 and L2', '- Between: L1 and L9')
    .replace('- Replace: transmitter module', '- Replace: lamp module'),
}))

describe('compiling', () => {
  it('gives plain data: what a tree, a check, a limit and a cause hold', () => {
    const { knowledge } = compile(guideFolder)
    const tree = knowledge?.trees.get('small-output-dead')
    expect(tree).toMatchObject({
      title: 'Small output dead',
      equipment: 'small-transmitter',
      symptom: 'telltale dark',
      kind: 'fault',
      start: { tree: 'small-output-dead', check: 'supply' },
      reviewBy: null,
    })
    expect(tree?.checks.get('supply')).toMatchObject({
      cautions: ['**Caution** S1 and S2 are live at 110 V AC.'],
      instruction: 'Set the meter to AC volts. Hold the probes on S1 and S2.',
      does: { kind: 'measure', unit: 'V AC', between: ['S1', 'S2'], limit: 'supply voltage', demo: true },
      minutes: 2,
      access: 'open the case',
      source: { path: 'trees/small-output-dead.md', line: 9 },
    })
    expect(tree?.checks.get('fuse')).toMatchObject({
      does: { kind: 'observe', what: 'the wire in the fuse' },
      disturbs: 'supply fuse out',
    })
    const kit = knowledge?.equipment.get('small-transmitter')
    expect(kit?.limits.at(-1)).toMatchObject({
      name: 'output current',
      unit: 'A',
      expectation: null,
      demo: false,
    })
    expect(kit?.units[0]).toMatchObject({
      kind: 'transmitter module',
      fits: [{ fact: 'direction', values: ['normal'] }],
    })
    expect(kit?.causes.get('transmitter-module-failed')).toMatchObject({
      share: 4,
      minutes: 10,
      remedy: 'Change the module for one of the same variant.',
      replace: 'transmitter module',
      prove: [
        { tree: 'small-output-dead', check: 'supply' },
        { tree: 'small-output-dead', check: 'loop' },
      ],
    })
  })

  it('tells all problems at once, errors before warnings, then by file and line', () => {
    const { knowledge, problems } = compile(spoilt)
    expect(knowledge).toBeNull()
    expect(problems.map(({ code, source }) => `${source.path}:${source.line} ${code}`)).toEqual([
      'equipment/small-transmitter.md:67 unit-kind-unknown',
      'trees/small-output-dead.md:48 terminal-unknown',
      'trees/small-output-dead.md:31 vague-command',
    ])
  })

  it('gives what could be made of a folder with errors when asked to be lenient', () => {
    expect(compile(spoilt, { lenient: true }).knowledge?.trees.size).toBe(1)
  })

  it('leaves README.md alone, and an empty folder is no error', () => {
    expect(compile([...guideFolder, { path: 'README.md', text: '<b>' }]).problems).toEqual([])
    expect(compile([])).toEqual({ knowledge: { equipment: new Map(), trees: new Map() }, problems: [] })
  })

  it('runs every check that is written', () => {
    expect(new Set([...fileRules, ...formRules, ...linkRules, ...graphRules]).size).toBe(62)
  })
})

describe('npm run knowledge', () => {
  let dir = ''
  beforeAll(() => {
    dir = mkdtempSync(join(tmpdir(), 'report-'))
    for (const [name, files] of [
      ['good', guideFolder],
      ['bad', spoilt],
    ] as const) {
      for (const { path, text } of files) {
        mkdirSync(join(dir, name, path, '..'), { recursive: true })
        writeFileSync(join(dir, name, path), text)
      }
    }
  })
  afterAll(() => rmSync(dir, { recursive: true, force: true }))

  const run = (name: string, ...args: string[]) =>
    promisify(execFile)(process.execPath, ['server/knowledge-report.ts', ...args], {
      env: { ...process.env, KNOWLEDGE_DIR: join(dir, name) },
    }).then(
      ({ stdout }) => ({ code: 0, stdout }),
      (error: { code: number; stdout: string }) => ({ code: error.code, stdout: error.stdout }),
    )

  it('ends well for a good folder, with the reach of its trees', async () => {
    const { code, stdout } = await run('good')
    expect(code).toBe(0)
    expect(stdout).toContain('No problems.')
    expect(stdout).toContain('3 checks, 4 causes, longest path 2 checks, expected time 8.9 min')
  })

  it('ends with 1 for errors, and gives them as data on request', async () => {
    const { code, stdout } = await run('bad', '--json')
    expect(code).toBe(1)
    const report = JSON.parse(stdout)
    expect(report.coverage).toBeNull()
    expect(report.problems[0]).toMatchObject({ code: 'unit-kind-unknown', severity: 'error', hint: null })
  })
})
