// What the pack promises its readers. Common practice, no published source, but where one is named.

import { describe, expect, it } from 'vitest'
import { compile } from '../../../server/knowledge/compile.ts'
import { pathsTo } from '../../../server/knowledge/graph.ts'
import { readKnowledge } from '../../../server/knowledge/load.ts'
import { equipmentNamed, pack } from './on-site.ts'

/** A cause is common from this share on; shares are the author's estimates. */
const COMMON = 6
const trees = [...pack.trees.values()]

describe('the pack', () => {
  it('compiles without an error or a warning', () => {
    const { files, problems } = readKnowledge('knowledge')
    const found = [...problems, ...compile(files).problems]
    expect(found.map(({ source, found }) => `${source.path}:${source.line} ${found}`)).toEqual([])
  })

  it('answers at least fourteen symptoms and has a maintenance round', () => {
    expect(trees.filter(tree => tree.kind === 'fault').length).toBeGreaterThanOrEqual(14)
    expect(trees.filter(tree => tree.kind === 'round').map(tree => tree.slug)).toEqual(['maintenance-round'])
  })

  it.each(trees.map(tree => [tree.slug, tree] as const))('%s has at most 40 checks', (_, tree) => {
    expect(tree.checks.size).toBeLessThanOrEqual(40)
  })

  it.each(trees.map(tree => [tree.slug, tree] as const))(
    '%s comes to every common cause in at most 12 checks, whichever way',
    (_, tree) => {
      const long = [...pathsTo(pack, tree, 5000)].flatMap(([key, paths]) => {
        const [equipment = '', slug = ''] = key.split('/')
        const share = pack.equipment.get(equipment)?.causes.get(slug)?.share ?? 0
        const longest = Math.max(...paths.map(path => path.length))
        return share >= COMMON && longest > 12 ? [`${slug}: ${longest}`] : []
      })
      expect(long).toEqual([])
    },
  )

  it.each(trees.map(tree => [tree.slug, tree] as const))(
    '%s has an example for every cause its rows name',
    (_, tree) => {
      const named = [...tree.checks.values()].flatMap(check =>
        check.rows.flatMap(({ next }) => (next.kind === 'cause' ? `${next.equipment}/${next.cause}` : [])),
      )
      const shown = tree.examples.flatMap(({ expected }) =>
        expected.kind === 'cause' ? `${expected.equipment}/${expected.cause}` : [],
      )
      expect([...new Set(named)].filter(cause => !shown.includes(cause))).toEqual([])
    },
  )

  it('serves all four duties in both directions and both contact finishes', () => {
    const modules = equipmentNamed('loop-transmitter').units.filter(
      unit => unit.kind === 'transmitter module',
    )
    const served = new Set(
      modules.flatMap(unit => {
        const words = (fact: string) => unit.fits.find(condition => condition.fact === fact)?.values ?? []
        return words('duty').flatMap(duty =>
          words('direction').flatMap(direction =>
            words('contact finish').map(finish => [duty, direction, finish].join()),
          ),
        )
      }),
    )
    expect(served.size).toBe(4 * 2 * 2)
  })

  // Writer's guide DOE-STD-1029-92 (secondary): a caution holds no action.
  it('gives no command inside a caution', () => {
    const command = /(?:^|[.!] )(?:Set|Hold|Take|Lift|Put|Fit|Measure|Connect|Remove|Open|Close|Clip|Touch) /
    const cautions = trees.flatMap(tree => [
      ...tree.cautions,
      ...[...tree.checks.values()].flatMap(check => check.cautions),
    ])
    expect(cautions.length).toBeGreaterThan(100)
    expect(cautions.filter(text => command.test(text.replace(/\*\*\w+\*\* ?/g, '')))).toEqual([])
  })

  it('never says that it is safe to be on the line', () => {
    const { files } = readKnowledge('knowledge')
    const equipment = files.filter(file => file.path.startsWith('equipment/'))
    expect(equipment.length).toBe(pack.equipment.size)
    for (const { text } of equipment)
      expect(text).toMatch(/Nothing here says that it is safe to be on or near the line/)
    const said = trees.flatMap(tree =>
      [...tree.checks.values()].map(check => `${check.instruction} ${check.cautions}`),
    )
    expect(said.filter(text => /\b(?:it is|now|you are) safe\b/i.test(text))).toEqual([])
  })

  it('sends nobody near the line without naming protection', () => {
    const near = trees
      .flatMap(tree => [...tree.checks.values()])
      .filter(check => check.access === 'at the loops' || check.access === 'at the link box')
    for (const check of near) expect(check.cautions.join(' '), check.title).toMatch(/[Pp]rotection/)
  })
})
