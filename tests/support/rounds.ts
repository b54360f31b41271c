import { cpSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import path from 'node:path'

const round = `# Small round

- Equipment: [Small transmitter](../equipment/small-transmitter.md)
- Symptom: planned visit
- Start: [Telltale](#telltale)
- Kind: round

A round small enough to test with.

## Telltale

Look at the telltale.

- Observe: telltale

| Finding | Means | Next |
| --- | --- | --- |
| lit | It works. | [Supply at the visit](#supply-at-the-visit) |
| dark | Nobody reported it. | [Found](#found) |
| behind the snow | Not to be seen today. | [Not seen](#not-seen) |

## Supply at the visit

> **Warning** S1 and S2 are live at 110 V AC.

Hold the probes on S1 and S2.

- Measure: supply voltage
- Between: S1 and S2
- Expect: supply voltage
- Blind: yes

| Finding | Means | Next |
| --- | --- | --- |
| in range | The supply is healthy. | [Loops](#loops) |
| otherwise | The supply is weak. | [Found](#found) |

## Loops

> **Caution** The loops lie in the four-foot. Trains come.

Look at the loops.

- Observe: loops

| Finding | Means | Next |
| --- | --- | --- |
| firm | They are whole. | [Proving](#proving) |
| loose | They will break. | [Found](#found) |
| cannot tell | Not reached today. | [Proving](#proving) |

## Proving

> **Caution** Lifting the core stops the output.

Lift one core from L1.

- Observe: whether the failure is seen
- Disturbs: one core off L1

| Finding | Means | Next |
| --- | --- | --- |
| seen | A dead loop is seen. | [Complete](#complete) |
| not seen | A dead loop is not seen. | [Found](#found) |

## Complete

- End: healthy

Put the core back on L1.

## Found

- End: pass on

Put the core back on L1. Open a fault at this position now.

## Not seen

- End: not tested

Nothing is disturbed so far. Come back when the snow is gone.
`

/** The small test knowledge with a round beside its fault tree, in a folder of its own. */
export function knowledgeWithRound(): { folder: string; remove(): void } {
  const folder = mkdtempSync(path.join(tmpdir(), 'fourfoot-round-'))
  cpSync(path.join(import.meta.dirname, 'knowledge'), folder, { recursive: true })
  writeFileSync(path.join(folder, 'trees/round.md'), round)
  return { folder, remove: () => rmSync(folder, { recursive: true, force: true }) }
}
