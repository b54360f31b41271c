// Knowledge made by the yard, for the benchmark, and files spoilt in every way, for the fuzz. All from a seed.

import type { SourceFile } from '../../server/knowledge/types.ts'

export type Random = () => number

/** Numbers from 0 to 1 that are the same for the same seed (mulberry32). */
export function seeded(seed: number): Random {
  let state = seed >>> 0
  return () => {
    state = (state + 0x6d2b79f5) >>> 0
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state)
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296
  }
}

const TREES_A_KIND = 10

/** So many sound trees of so many checks, with an equipment file for each ten. */
export function manyTrees(trees: number, checks: number): SourceFile[] {
  const files: SourceFile[] = []
  for (let tree = 0; tree < trees; tree++) {
    const kind = Math.floor(tree / TREES_A_KIND)
    if (tree % TREES_A_KIND === 0)
      files.push({ path: `equipment/kind-${kind}.md`, text: equipment(kind, checks) })
    const all = Array.from({ length: checks }, (_, index) => check(kind, index, checks))
    files.push({ path: `trees/tree-${tree}.md`, text: `${head(kind, tree)}\n${all.join('\n')}` })
  }
  return files
}

function head(kind: number, tree: number): string {
  return `# Tree ${tree}\n\n- Equipment: [Kind](../equipment/kind-${kind}.md)\n- Symptom: dead\n- Start: [Check 0](#check-0)\n\nFor trying.\n`
}

function check(kind: number, index: number, checks: number): string {
  const next = index + 1 < checks ? `[On](#check-${index + 1})` : cause(kind, 0)
  const does =
    index % 3 === 2
      ? '- Observe: the lamp'
      : `- Measure: voltage\n- Between: S1 and S2\n- Expect: ${index % 3 === 0 ? 'supply' : '99 to 121 V AC\n- Source: Demo value'}`
  return `## Check ${index}\n\n> **Caution** Live terminals.\n\nSet the meter. Hold the probes on S1 and S2.\n\n${does}\n- Takes: 3 min\n\n| Finding | Means | Next |\n| --- | --- | --- |\n${rows(kind, index, next)}\n`
}

function rows(kind: number, index: number, next: string): string {
  const words: string[][] = [
    ['lit', 'dark'],
    ['in range', 'otherwise'],
    ['in range', 'below', 'above', 'none', 'open'],
  ]
  const labels = words[(index + 1) % 3] ?? []
  return labels
    .map((label, at) => `| ${label} | So it is. | ${at === 0 ? next : cause(kind, index)} |`)
    .join('\n')
}

function cause(kind: number, index: number): string {
  return `[Cause](../equipment/kind-${kind}.md#cause-${index})`
}

function equipment(kind: number, causes: number): string {
  const tables =
    '## Terminals\n\n| Terminal | On | Purpose | Access | Live |\n| --- | --- | --- | --- | --- |\n| S1 | module | in | site | 110 V AC |\n| S2 | module | in | site | 110 V AC |\n\n## Limits\n\n| Limit | Value | Unit | Source |\n| --- | --- | --- | --- |\n| supply | 110 ± 10 % | V AC | Demo value |\n'
  const all = Array.from(
    { length: causes },
    (_, index) =>
      `### Cause ${index}\n\n- Share: ${index + 1}\n- Prove: [Check](../trees/tree-${kind * TREES_A_KIND}.md#check-0)\n\nMend it.\n`,
  )
  return `# Kind ${kind}\n\nMade for trying.\n\n${tables}\n## Causes\n\n${all.join('\n')}`
}

const NASTY = [
  '<script>alert(1)</script>',
  '[x](javascript:alert(1))',
  '## __proto__',
  '## constructor',
  '- __proto__: x',
  '- Takes: 1e999 min',
  '| --- | --- |',
  '>'.repeat(40),
  `${'- '.repeat(60)}a`,
  '['.repeat(3000),
  '*a_ '.repeat(900),
  '`'.repeat(2000),
  '|'.repeat(3000),
  `- Expect: ${'('.repeat(300)}`,
  `- Expect: ${'1 + '.repeat(200)}1 V`,
  '- Expect: 1 ÷ 0 V AC to 2 V AC',
  '```',
  '<!--',
  '[a]: b',
  '===',
  '\u0000',
  '\uFFFD',
  '\u202E',
  '\r',
  '| x | y | [z](#__proto__) |',
  '| otherwise | y | [z](../../../../etc/passwd) |',
  '- Start: [a](#constructor)',
]

/** The text with one to four things done to it: lines lost, doubled, swapped or repeated, letters changed, nasty lines put in. */
export function mutated(text: string, random: Random): string {
  let lines = text.split('\n')
  const times = 1 + Math.floor(random() * 4)
  for (let time = 0; time < times; time++) lines = mutateOnce(lines, random)
  return lines.join('\n').slice(0, 900_000)
}

function mutateOnce(lines: string[], random: Random): string[] {
  const pick = (count: number) => Math.floor(random() * count)
  const at = pick(lines.length)
  const line = lines[at] ?? ''
  const put = (...put: string[]) => [...lines.slice(0, at), ...put, ...lines.slice(at + 1)]
  switch (pick(9)) {
    case 0:
      return put()
    case 1:
      return put(line, line)
    case 2:
      return put(lines[pick(lines.length)] ?? '')
    case 3:
      return put(line, NASTY[pick(NASTY.length)] ?? '')
    case 4:
      return put(line.slice(0, pick(line.length + 1)))
    case 5:
      return put(spoilt(line, random))
    case 6:
      return put(...Array.from({ length: random() < 0.05 ? 7_000 : 1 + pick(40) }, () => line))
    case 7:
      return lines.slice(0, at)
    default:
      return [...lines, ...lines.slice(at)].slice(0, 20_000)
  }
}

function spoilt(line: string, random: Random): string {
  const letters = [...line]
  const at = Math.floor(random() * (letters.length + 1))
  const odd = '|[]()#>-*_`<&\\:0 é±÷\t'
  letters.splice(at, random() < 0.5 ? 1 : 0, odd[Math.floor(random() * odd.length)] ?? '')
  return letters.join('')
}
