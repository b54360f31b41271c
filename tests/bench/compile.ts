// How long the compiler takes: for a large folder, and at worst for a single file spoilt in every way.

import { compile } from '../../server/knowledge/compile.ts'
import type { SourceFile } from '../../server/knowledge/types.ts'
import { guideFolder } from '../knowledge/folder.ts'
import { manyTrees, mutated, seeded } from '../knowledge/generated.ts'
import type { Bench } from './run.ts'

const MUTATED_FILES = 10_000
const SEED = 20_260_101

export const compile500Trees: Bench = {
  name: 'compile-500-trees',
  unit: 's',
  goal: { at: 'most', value: 2 },
  run: () => {
    const files = manyTrees(500, 40)
    const started = performance.now()
    const { problems } = compile(files)
    const seconds = (performance.now() - started) / 1000
    if (problems.length > 0) throw new Error(`the made-up trees are not sound: ${problems[0]?.code}`)
    return seconds
  },
}

export const fuzzKnowledge: Bench = {
  name: 'fuzz-knowledge',
  unit: 'ms',
  goal: { at: 'most', value: 200 },
  run: () => {
    const random = seeded(SEED)
    let slowest = 0
    for (let index = 0; index < MUTATED_FILES; index++) {
      const which = Math.floor(random() * guideFolder.length)
      const files = guideFolder.map((file, at) =>
        at === which ? { ...file, text: mutated(file.text, random) } : file,
      )
      slowest = Math.max(slowest, timeOf(files))
    }
    return slowest
  },
}

/** In ms. A slow file is timed again, so that what else the machine was doing does not count against it. */
function timeOf(files: SourceFile[]): number {
  let best = Number.POSITIVE_INFINITY
  for (let attempt = 0; attempt < 5 && best > 50; attempt++) {
    const started = performance.now()
    compile(files)
    best = Math.min(best, performance.now() - started)
  }
  return best
}
