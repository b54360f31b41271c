// How long an author waits at a pause: a tree of 400 checks is checked and drawn.

import { compile } from '../../server/knowledge/compile.ts'
import type { SourceFile } from '../../server/knowledge/types.ts'
import { pictureOf } from '../../server/web/author/trees/tree-picture.ts'
import { largeTree } from '../knowledge/generated-tree.ts'
import type { Bench } from './run.ts'

const times = 7

export const author400: Bench = {
  name: 'author-400',
  unit: 'ms',
  goal: { at: 'most', value: 300 },
  run: () => {
    const files = largeTree(400)
    const taken = Array.from({ length: times }, () => {
      const started = performance.now()
      checkAndDraw(files)
      return performance.now() - started
    })
    // The first two warm the program up, as the pauses before do; of the others the middle one.
    return taken.slice(2).sort((a, b) => a - b)[2] ?? Number.NaN
  },
}

function checkAndDraw(files: SourceFile[]): void {
  const { knowledge, problems } = compile(files)
  const tree = knowledge?.trees.get('large')
  if (!knowledge || !tree) throw new Error(`the large tree is not sound: ${problems[0]?.code}`)
  if ((pictureOf(knowledge, tree, { zoom: null })?.svg.length ?? 0) < 100_000)
    throw new Error('too little was drawn')
}
