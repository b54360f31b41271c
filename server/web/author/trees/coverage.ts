import { coverageOf, gapsOf } from '../../../knowledge/coverage.ts'
import { nearMisses } from '../../../knowledge/wording.ts'
import type { Deps } from '../../deps.ts'
import { page } from '../../host/answer.ts'
import { idleChecks, limitsTable, treesTable } from './coverage-tables.ts'
import { shownNearMisses } from './near-misses.ts'

/** How far the trees in use reach, and what they leave out. */
export const show = (deps: Deps) => () => {
  const { knowledge } = deps.library.current()
  const coverage = coverageOf(knowledge)
  const kitName = (slug: string) => knowledge.equipment.get(slug)?.name ?? slug
  return page('author/trees/coverage', {
    title: 'How far the trees reach',
    desk: true,
    back: { href: '/knowledge', text: 'Fault trees' },
    trees: treesTable(coverage),
    idleChecks: idleChecks(coverage),
    limits: limitsTable(coverage, kitName),
    untried: coverage.trees.filter(tree => tree.untried.length > 0),
    gaps: gapsOf(knowledge, deps.storage.walked.symptoms()),
    nearMisses: shownNearMisses(nearMisses(knowledge)),
    kitName,
    unknownKinds: unknownKinds(deps),
  })
}

/** Kinds of equipment that stand on the railway and in no file. */
function unknownKinds(deps: Deps): string[] {
  const kinds = new Set(deps.storage.positions.search('', 2000).map(position => position.equipment))
  return [...kinds].filter(kind => !deps.library.current().knowledge.equipment.has(kind)).sort()
}
