// What the knowledge leaves out: causes no walk can come to, equipment without a tree, values without a source.

import { causeKey, reachable } from './graph.ts'
import type { Cause, Equipment, Knowledge, Source } from './types.ts'

export interface Gaps {
  unreached: { cause: Cause; equipment: string }[]
  /** Kinds of equipment no fault tree answers for. */
  withoutTree: Equipment[]
  /** Symptoms of the record that no tree of the edition answers. */
  unanswered: { symptom: string; equipment: string; faults: number }[]
  /** Values that do not say where they come from. */
  withoutSource: { where: string; what: string; source: Source }[]
}

export function gapsOf(
  knowledge: Knowledge,
  reported: { symptom: string; equipment: string; faults: number }[],
): Gaps {
  const trees = [...knowledge.trees.values()]
  const kits = [...knowledge.equipment.values()]
  const reached = new Set(trees.flatMap(tree => reachable(knowledge, tree).causes.map(causeKey)))
  const answers = new Set(trees.map(tree => `${tree.equipment} ${tree.symptom}`))
  return {
    unreached: kits.flatMap(kit =>
      [...kit.causes.values()]
        .filter(cause => !reached.has(causeKey(cause)))
        .map(cause => ({ cause, equipment: kit.name })),
    ),
    withoutTree: kits.filter(
      kit => !trees.some(tree => tree.equipment === kit.slug && tree.kind === 'fault'),
    ),
    unanswered: reported.filter(one => !answers.has(`${one.equipment} ${one.symptom}`)),
    withoutSource: [
      ...kits.flatMap(limitsWithout),
      ...trees.flatMap(tree => [...tree.checks.values()].flatMap(checkWithout)),
    ],
  }
}

function limitsWithout({ name, limits }: Equipment): Gaps['withoutSource'] {
  return limits
    .filter(limit => limit.expectation !== null && limit.from.replace(/[–-]/, '').trim() === '')
    .map(limit => ({ where: name, what: limit.name, source: limit.source }))
}

function checkWithout(check: {
  title: string
  does: { kind: string; from?: string; expectText?: string }
  source: Source
}) {
  const { does } = check
  const missing = does.kind === 'measure' && does.expectText !== '' && (does.from ?? '').trim() === ''
  return missing ? [{ where: check.title, what: does.expectText ?? '', source: check.source }] : []
}
