import { describe, expect, it } from 'vitest'
import { compile } from '../../server/knowledge/compile.ts'
import {
  causeKey,
  deepestFirst,
  findCauseByKey,
  findCheck,
  findEnd,
  pathsTo,
  pathsToEnds,
  reachable,
  targetKey,
} from '../../server/knowledge/graph.ts'
import type { FaultTree, Knowledge } from '../../server/knowledge/types.ts'
import { processorTime } from '../support/processor-time.ts'
import { guideFolder } from './folder.ts'
import { manyTrees } from './generated.ts'

function compiled(files = guideFolder): { knowledge: Knowledge; tree: FaultTree } {
  const { knowledge } = compile(files)
  const [tree] = knowledge?.trees.values() ?? []
  if (!knowledge || !tree) throw new Error('the folder does not compile')
  return { knowledge, tree }
}

const labels = (paths: Map<string, { row: { label: string } }[][]>) =>
  Object.fromEntries(
    [...paths].map(([key, list]) => [key, list.map(path => path.map(step => step.row.label))]),
  )

describe('paths', () => {
  const { knowledge, tree } = compiled()

  it('lead to each cause by every way, the shortest first', () => {
    expect(labels(pathsTo(knowledge, tree))).toEqual({
      'small-transmitter/feeder-weak': [['otherwise']],
      'small-transmitter/supply-fuse-blown': [
        ['none', 'broken'],
        ['none', 'cannot tell'],
      ],
      'small-transmitter/transmitter-module-failed': [['in range', 'in range']],
      'small-transmitter/loop-broken': [['in range', 'otherwise']],
    })
  })

  it('lead to ends under keys of their own', () => {
    expect(labels(pathsToEnds(knowledge, tree))).toEqual({
      'small-output-dead#ask-the-control-room': [['none', 'whole']],
    })
  })

  it('stay few where branches join again and again', async () => {
    const folder = manyTrees(1, 40)
    const joined = folder.map(file => ({
      ...file,
      text: file.text.replace(
        /\| (below|above|dark|otherwise) \| So it is\. \| \[Cause\]\(\S+#cause-(\d+)\)/g,
        (line, label, index) =>
          Number(index) < 39 ? `| ${label} | So it is. | [On](#check-${Number(index) + 1})` : line,
      ),
    }))
    const { knowledge: dense } = compile(joined, { lenient: true })
    const [first] = dense?.trees.values() ?? []
    if (!dense || !first) throw new Error('nothing compiled')
    let paths: ReturnType<typeof pathsTo> = new Map()
    const spent = await processorTime(() => {
      paths = pathsTo(dense, first, 32)
    })
    expect(spent).toBeLessThan(1_000)
    for (const list of paths.values()) expect(list.length).toBeLessThanOrEqual(32)
    expect(paths.get('kind-0/cause-0')?.length).toBe(32)
  })

  it('end where a circle begins, and do not go round', () => {
    const circular = guideFolder.map(file => ({
      ...file,
      text: file.text.replace('[Ask the control room](#ask-the-control-room)', '[Supply](#supply)'),
    }))
    const { knowledge: round } = compile(circular, { lenient: true })
    const [first] = round?.trees.values() ?? []
    if (!round || !first) throw new Error('nothing compiled')
    expect(pathsTo(round, first).get('small-transmitter/feeder-weak')).toHaveLength(1)
    expect(deepestFirst(round, first.start)).toHaveLength(3)
  })
})

describe('names', () => {
  const { knowledge, tree } = compiled()

  it('find what is there and give null for what is not', () => {
    expect(findCheck(knowledge, tree.start)?.title).toBe('Supply')
    expect(findCheck(knowledge, { tree: 'constructor', check: '__proto__' })).toBeNull()
    expect(findEnd(knowledge, { tree: 'small-output-dead', end: 'ask-the-control-room' })?.means).toBe(
      'pass on',
    )
    expect(findCauseByKey(knowledge, 'small-transmitter/feeder-weak')?.title).toBe('Feeder weak')
    expect(findCauseByKey(knowledge, 'feeder-weak')).toBeNull()
  })

  it('give every place of a tree a key of its own', () => {
    const { checks, causes, ends } = reachable(knowledge, tree)
    const keys = [
      ...checks.map(check => targetKey({ kind: 'check', tree: check.tree, check: check.slug })),
      ...causes.map(causeKey),
      ...ends.map(end => targetKey({ kind: 'end', tree: end.tree, end: end.slug })),
    ]
    expect(new Set(keys).size).toBe(8)
  })
})
