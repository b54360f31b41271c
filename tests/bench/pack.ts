// How the shipped trees do against faults hidden in the circuit model, walked by a robot that knows neither.

import type { Knowledge } from '../../server/knowledge/types.ts'
import { type Outcome, type Result, shareOf, tryTree } from '../../server/practice/results.ts'
import { createRandom } from '../../server/statistics/random.ts'
import type { Bench } from './run.ts'
import { once, shippedKnowledge } from './shared.ts'

export interface OfTree {
  tree: string
  round: boolean
  results: Result[]
  /** Causes that the tree can reach and that never show as its symptom. */
  unseen: Set<string>
}

/** `count` hidden faults for each tree of the folder, the same for the same words of `seed`. */
export function ofTrees(knowledge: Knowledge, count: number, seed: string): OfTree[] {
  return [...knowledge.trees.values()].map(({ slug, kind }) => ({
    ...{
      tree: slug,
      round: kind === 'round',
      ...tryTree(knowledge, slug, count, createRandom(`${seed} ${slug}`)),
    },
  }))
}

/** One line a tree, and below it each cause that was not reached, where its walks ended and one of them. */
export function report(trees: OfTree[]): string[] {
  return trees.flatMap(({ tree, results, unseen }) => [
    `${tree}: ${results.length} faults, ${shares(results)}`,
    ...(unseen.size > 0 ? [`  never shown as this symptom: ${[...unseen].join(', ')}`] : []),
    ...misses(results),
    ...[...new Set(results.flatMap(({ unknown }) => unknown))].map(
      check => `  no words for the look ${check}`,
    ),
  ])
}

function shares(results: Result[]): string {
  const outcomes: Outcome[] = ['reached', 'open', 'wrong', 'false healthy']
  return outcomes.map(outcome => `${outcome} ${shareOf(results, outcome).toFixed(2)}`).join(', ')
}

function misses(results: Result[]): string[] {
  const missed = new Map<string, { times: number; path: string[] }>()
  for (const { outcome, cause, ended, path } of results) {
    if (outcome === 'reached') continue
    const words = `${cause} → ${ended}`
    missed.set(words, { path, times: (missed.get(words)?.times ?? 0) + 1 })
  }
  return [...missed]
    .sort(([, a], [, b]) => b.times - a.times)
    .flatMap(([words, { times, path }]) => [`  ${times} × ${words}`, `      ${path.join(' · ')}`])
}

/** Hidden faults for each tree. */
const EACH = 60

const tried = once(() => {
  const trees = ofTrees(shippedKnowledge(), EACH, 'hidden')
  for (const line of report(trees)) console.error(`  ${line}`)
  return trees
})

/** Of the trees that answer a symptom: a round only says that something is to be reported. */
function share(outcome: Outcome): number {
  return shareOf(
    tried().flatMap(({ round, results }) => (round ? [] : results)),
    outcome,
  )
}

function healthyInError(): number {
  return tried().flatMap(({ results }) => results.filter(({ outcome }) => outcome === 'false healthy')).length
}

export const benches: Bench[] = [
  { name: 'pack-reaches', unit: '', goal: { at: 'least', value: 0.85 }, run: () => share('reached') },
  { name: 'pack-left-open', unit: '', goal: { at: 'most', value: 0.12 }, run: () => share('open') },
  { name: 'pack-wrong-cause', unit: '', goal: { at: 'most', value: 0.03 }, run: () => share('wrong') },
  {
    name: 'pack-false-healthy',
    unit: 'faults',
    goal: { at: 'most', value: 0, counted: true },
    run: healthyInError,
  },
]
