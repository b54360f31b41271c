// How long ranking and the next check take, and how good the suggestions are on the demo's history.

import { noHistory } from '../../server/diagnosis/cause-counts.ts'
import { nextCheck } from '../../server/diagnosis/next-check.ts'
import { rank } from '../../server/diagnosis/rank.ts'
import type { Knowledge } from '../../server/knowledge/types.ts'
import type { Finding } from '../../server/walk/record.ts'
import { found } from '../diagnosis/found.ts'
import { type CheckPart, knowledgeOf } from '../diagnosis/trees.ts'

/** 300 causes behind 200 checks: half-splits first, then chains of checks with one or two causes each. */
export function largeTree(causes = 300, checks = 200): Knowledge {
  const list: Record<string, CheckPart> = {}
  const all: Record<string, { share: number }> = {}
  let named = 0
  for (let index = 0; index < checks; index++) {
    const rows: Record<string, string> = {}
    const children = [2 * index + 1, 2 * index + 2].filter(child => child < checks)
    const mine = Math.round(((index + 1) * causes) / checks) - Math.round((index * causes) / checks)
    if (children[0] !== undefined) rows['in range'] = `c${children[0]}`
    if (children[1] !== undefined) rows.below = `c${children[1]}`
    for (let extra = 0; extra < mine; extra++) {
      rows[`sign ${extra}`] = `!k${named}`
      all[`k${named}`] = { share: 1 + ((named * 37) % 23) }
      named += 1
    }
    if (children[0] === undefined) rows['in range'] = '.nothing'
    list[`c${index}`] = { minutes: 1 + ((index * 7) % 12), rows }
  }
  return knowledgeOf({ dead: { checks: list } }, all)
}

function median(times: number[]): number {
  return times.sort((a, b) => a - b)[Math.floor(times.length / 2)] ?? 0
}

function timed(knowledge: Knowledge, tree: string, findings: Finding[], turns: number): number {
  const times: number[] = []
  for (let turn = 0; turn < turns; turn++) {
    const from = performance.now()
    nextCheck(knowledge, tree, findings, rank(knowledge, tree, findings, noHistory))
    times.push(performance.now() - from)
  }
  return median(times)
}

export const benches = [
  {
    name: 'rank-300x200',
    unit: 'ms',
    goal: { at: 'most' as const, value: 50 },
    run: () => timed(largeTree(), 'dead', [found('c0', 'in range'), found('c1', 'below')], 15),
  },
]
