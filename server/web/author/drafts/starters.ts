/** What a new file begins with: as little as a sound file can be, to be written over. */
export const starters = {
  trees: `# Title of the tree

- Equipment: [Name](../equipment/name.md)
- Symptom: what was noticed, in a few words
- Start: [First check](#first-check)

What the tree is for, in a sentence or two.

## First check

> **Caution** What can hurt or go wrong.

Set the meter to AC volts. Hold the probes on S1 and S2.

- Measure: supply voltage
- Between: S1 and S2
- Expect: supply voltage
- Takes: 3 min

| Finding | Means | Next |
| --- | --- | --- |
| in range | The supply is healthy. | [Nothing found](#nothing-found) |
| otherwise | The supply is wrong. | [Title of a cause](../equipment/name.md#title-of-a-cause) |

## Nothing found

- End: no fault found

What to do now.

## Examples

### Healthy

- [First check](#first-check): in range
- Ends at: [Nothing found](#nothing-found)
`,
  equipment: `# Name of the equipment

What this kind is.

> **Warning** Local rules and the maker's instructions come first.

## Terminals

| Terminal | On | Purpose | Access | Live |
| --- | --- | --- | --- | --- |
| S1 | power module | Supply in, feed | site | 110 V AC |
| S2 | power module | Supply in, return | site | 110 V AC |

## Limits

| Limit | Value | Unit | Source |
| --- | --- | --- | --- |
| supply voltage | – | V AC | Left blank until the owner has a figure |

## Causes

### Title of a cause

- Share: 1
- Takes: 10 min
- Prove: [First check](../trees/name.md#first-check)

What to do about it.
`,
}
