// How long ranking and the next check take, and how good the suggestions are on the demo's history.

import { qualityOf } from '../../server/diagnosis/judging/quality.ts'
import type { OrderMinutes } from '../../server/diagnosis/judging/replay.ts'
import { nextCheck } from '../../server/diagnosis/ordering/next-check.ts'
import { noHistory } from '../../server/diagnosis/ranking/cause-counts.ts'
import { rank } from '../../server/diagnosis/ranking/rank.ts'
import type { Knowledge } from '../../server/knowledge/types.ts'
import type { Finding } from '../../server/walk/record.ts'
import { demoOf } from '../demo/make.ts'
import { found } from '../diagnosis/found.ts'
import { type CheckPart, knowledgeOf } from '../diagnosis/trees.ts'
import { type AgainstBest, againstHindsight, againstSameKnowledge } from './best-order.ts'
import { pastFaults } from './past-faults.ts'
import type { Bench } from './run.ts'
import { once, shippedKnowledge } from './shared.ts'

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

/** The large tree as the fault is reported, and after one and two findings; the slowest of the three. */
function largeMs(): number {
  const knowledge = largeTree()
  const [first, second] = [found('c0', 'in range'), found('c1', 'below')]
  timed(knowledge, 'dead', [], 5)
  return Math.max(...[[], [first], [first, second]].map(findings => timed(knowledge, 'dead', findings, 15)))
}

/** Mean over the trees of the knowledge folder, as the fault is reported, when most is still open. */
function shippedMs(): number {
  const knowledge = shippedKnowledge()
  const trees = [...knowledge.trees.keys()]
  for (const tree of trees) timed(knowledge, tree, [], 3)
  return trees.reduce((sum, tree) => sum + timed(knowledge, tree, [], 9), 0) / trees.length
}

const loaded = once(load)

/** The demo's closed faults, each judged by all the others; once for all the figures that need it. */
async function load() {
  const { knowledge, storage, db } = await demoOf(1)
  const past = pastFaults(storage, db)
  return {
    replay: once(() => qualityOf(knowledge, past)),
    sameKnowledge: () => againstSameKnowledge(knowledge, past),
    hindsight: () => againstHindsight(knowledge, past),
  }
}

const most = (value: number) => ({ at: 'most' as const, value })

export const benches: Bench[] = [
  { name: 'rank-300x200', unit: 'ms', goal: most(50), run: largeMs },
  { name: 'rank-shipped', unit: 'ms', goal: most(5), run: shippedMs },
  {
    name: 'minutes-vs-best',
    unit: 'ratio',
    goal: most(1.05),
    run: async () => overFloor((await loaded()).sameKnowledge()),
  },
  // The one order for each tree that would have been best for just the faults that came: nobody could have known it.
  {
    name: 'minutes-vs-hindsight',
    unit: 'ratio',
    goal: most(1.15),
    run: async () => overFloor((await loaded()).hindsight()),
  },
  {
    name: 'minutes-vs-author',
    unit: 'ratio',
    goal: most(1),
    run: async () => ratio((await loaded()).replay().minutes),
  },
  {
    name: 'minutes-repeaters',
    unit: 'ratio',
    goal: most(0.8),
    run: async () => ratio((await loaded()).replay().repeaters),
  },
]

function ratio(minutes: OrderMinutes): number {
  return minutes.suggested / minutes.author
}

function overFloor({ suggested, floor }: AgainstBest): number {
  return suggested / floor
}
