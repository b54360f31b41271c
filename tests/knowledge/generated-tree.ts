// One tree as large as any author will write, shaped as fault trees are: it branches, and some branches meet again.

import type { SourceFile } from '../../server/knowledge/types.ts'

const causes = 60

export function largeTree(checks: number): SourceFile[] {
  const all = Array.from({ length: checks }, (_, index) => check(index, checks))
  const head =
    '# Large\n\n- Equipment: [Kind](../equipment/kind.md)\n- Symptom: dead\n- Start: [Check 0](#check-0)\n\nFor trying.\n'
  return [
    { path: 'equipment/kind.md', text: equipment() },
    { path: 'trees/large.md', text: `${head}\n${all.join('\n')}` },
  ]
}

/** Each leads to the two below it, every seventh also across to a check one level further down. */
function check(index: number, checks: number): string {
  const below = [2 * index + 1, 2 * index + 2].filter(next => next < checks)
  const across = index % 7 === 3 && 4 * index + 5 < checks ? [4 * index + 5] : []
  const links = [...below, ...across].map(next => `[On](#check-${next})`)
  const labels = ['lit', 'dim', 'dark', 'flashing']
  const rows = labels.map((label, at) => `| ${label} | So it is. | ${links[at] ?? cause(index + at)} |`)
  return `## Check ${index}\n\nLook at the lamp ${index}.\n\n- Observe: the lamp ${index}\n- Takes: 3 min\n\n| Finding | Means | Next |\n| --- | --- | --- |\n${rows.join('\n')}\n`
}

function cause(index: number): string {
  return `[Cause](../equipment/kind.md#cause-${index % causes})`
}

function equipment(): string {
  const all = Array.from(
    { length: causes },
    (_, index) =>
      `### Cause ${index}\n\n- Share: ${index + 1}\n- Prove: [Check](../trees/large.md#check-0)\n\nMend it.\n`,
  )
  return `# Kind\n\nMade for trying.\n\n## Causes\n\n${all.join('\n')}`
}
