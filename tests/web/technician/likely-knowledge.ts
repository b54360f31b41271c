// Small knowledge of a few causes, in a folder of its own, and faults closed before.

import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import path from 'node:path'
import type { Site } from '../../support/site.ts'

export const share = { feeder: 5, drive: 3, lamp: 2 }
/** A tree of three checks, one cause each. */
export const chain = `## Supply

Look at the supply.

- Observe: supply
- Takes: 9 min

| Finding | Means | Next |
| --- | --- | --- |
| there | Healthy. | [Drive](#drive) |
| none | Nothing arrives. | [feeder](../equipment/small.md#feeder) |

## Drive

Look at the drive.

- Observe: drive
- Takes: 8 min

| Finding | Means | Next |
| --- | --- | --- |
| there | Healthy. | [Lamp](#lamp) |
| none | No drive. | [drive](../equipment/small.md#drive) |

## Lamp

Look at the lamp.

- Observe: lamp
- Takes: 1 min

| Finding | Means | Next |
| --- | --- | --- |
| lit | Healthy. | [Nothing found](#nothing-found) |
| dark | The lamp is gone. | [lamp](../equipment/small.md#lamp) |

## Nothing found

- End: no fault found

All was healthy.
`

/** `trees`: the checks of each tree by its slug. `causes`: share by slug, which is the title as well. */
export function knowledgeFolder(trees: Record<string, string>, causes: Record<string, number>) {
  const folder = mkdtempSync(path.join(tmpdir(), 'fourfoot-likely-'))
  for (const name of ['trees', 'equipment']) mkdirSync(path.join(folder, name))
  const ends = Object.entries(causes).map(
    ([slug, share]) =>
      `### ${slug}\n\n- Share: ${share}\n- Takes: 10 min\n- Prove: ${proofOf(trees, slug)}\n\nMend it.\n`,
  )
  writeFileSync(
    path.join(folder, 'equipment/small-transmitter.md'),
    `# Small transmitter\n\nSmall.\n\n## Facts\n\n| Fact | Unit or choices | Meaning |\n| --- | --- | --- |\n| direction | normal / opposite | the way trains run |\n| cable length | m | from the case |\n\n## Causes\n\n${ends.join('\n')}`,
  )
  for (const [slug, checks] of Object.entries(trees)) {
    const start = /## (.*)/.exec(checks)?.[1] ?? ''
    const head = `# ${slug}\n\n- Equipment: [Small transmitter](../equipment/small-transmitter.md)\n- Symptom: ${slug}\n- Start: [${start}](#${start.toLowerCase()})\n\nA tree to test with.\n\n`
    writeFileSync(
      path.join(folder, `trees/${slug}.md`),
      head + checks.replaceAll('small.md', 'small-transmitter.md'),
    )
  }
  return { path: folder, remove: () => rmSync(folder, { recursive: true, force: true }) }
}

/** The check above the row that names the cause. */
function proofOf(trees: Record<string, string>, slug: string): string {
  for (const [tree, checks] of Object.entries(trees)) {
    const at = checks.indexOf(`small.md#${slug})`)
    const title = at < 0 ? undefined : [...checks.slice(0, at).matchAll(/## (.*)/g)].at(-1)?.[1]
    if (title) return `[${title}](../trees/${tree}.md#${title.toLowerCase()})`
  }
  throw new Error(`No row names ${slug}.`)
}

/** Faults closed at a position with these causes, one a month from the start of 2025. */
export function closedBefore({ deps }: Site, positionId: string, causes: string[]): void {
  const { storage, library } = deps
  causes.forEach((cause, index) => {
    const id = `before-${positionId}-${index}`
    const at = `2025-${String(index + 1).padStart(2, '0')}-10T10:00:00.000Z`
    storage.faults.create({
      ...{ id, positionId, tree: 'dead', editionId: library.current().id, symptom: 'dead', reportedAt: at },
      ...{ reportedBy: 'signaller', recordedBy: 'wren', noticed: 'dead', protection: 'kept' as const },
      ...{ intermittent: false, conditions: [] },
    })
    const attendanceId = `${id}-attendance`
    storage.attendances.start({
      ...{
        id: attendanceId,
        faultId: id,
        personId: 'wren',
        spokenTo: 'signaller',
        protectionWords: 'line blocked',
      },
      ...{ isolationWords: 'nothing', seenHistoryAt: at, expectedFinish: null, startedAt: at },
    })
    storage.closures.add(
      {
        ...{ id: `${id}-closure`, faultId: id, attendanceId, by: 'wren', at, outcome: 'proven cause' },
        ...{ cause: `small-transmitter/${cause}`, clearedItself: false, changed: 'nothing', words: 'mended' },
      },
      { id: `${id}-signature`, printedName: 'Wren Aldous', meaning: 'closed' },
    )
  })
}
