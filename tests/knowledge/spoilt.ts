// Files spoilt in every way and compiled, as many as asked for: a few in the tests, many in the bench.

import { type Compiled, compile } from '../../server/knowledge/compile.ts'
import { coverageOf } from '../../server/knowledge/coverage.ts'
import { pathsTo } from '../../server/knowledge/graph.ts'
import type { Problem } from '../../server/knowledge/problem.ts'
import { plainText } from '../../server/knowledge/read/markdown.ts'
import type { SourceFile } from '../../server/knowledge/types.ts'
import { processorTime } from '../support/processor-time.ts'
import { guideFolder } from './folder.ts'
import { mutated, seeded } from './generated.ts'

export interface SpoiltRuns {
  /** Milliseconds of the folder that took longest to compile. */
  slowestMs: number
  /** What should not have come out, one line each. */
  wrong: string[]
}

/**
 * Compiles the guide's folder `runs` times with one file spoilt; the same for the same seed. Throws what the compiler
 * throws. `time` gives the milliseconds a compilation takes.
 */
export async function compileSpoilt(
  runs: number,
  seed: number,
  time: (work: () => void) => number | Promise<number> = processorTime,
): Promise<SpoiltRuns> {
  const random = seeded(seed)
  const wrong: string[] = []
  let slowestMs = 0
  for (let run = 0; run < runs; run++) {
    const which = run % guideFolder.length
    const files = guideFolder.map((file, at) =>
      at === which ? { ...file, text: mutated(file.text, random) } : file,
    )
    let compiled = compile([])
    const spent = await time(() => {
      compiled = compile(files)
    })
    slowestMs = Math.max(slowestMs, spent)
    wrong.push(...wrongIn(compiled, files).map(what => `run ${run}: ${what}`))
  }
  return { slowestMs, wrong }
}

/** A problem is at a line of its file, and quotes it; every tree of a folder without errors has paths. */
function wrongIn({ knowledge, problems }: Compiled, files: SourceFile[]): string[] {
  const wrong = problems
    .filter(problem => !isAtText(problem, files))
    .map(({ code }) => `${code} is elsewhere`)
  if (!knowledge) return wrong
  coverageOf(knowledge)
  const without = [...knowledge.trees.values()].filter(tree => pathsTo(knowledge, tree).size === 0)
  return [...wrong, ...without.map(({ slug }) => `${slug} has no path`)]
}

function isAtText({ source, quote }: Problem, files: SourceFile[]): boolean {
  const file = files.find(candidate => candidate.path === source.path)
  const line = plainText(file?.text ?? '').split('\n')[source.line - 1]
  return line !== undefined && (quote === '' || line.includes(quote.slice(0, 50)))
}
