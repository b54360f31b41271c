import { coverageOf, gapsOf } from '../../../knowledge/coverage.ts'
import { nearMisses } from '../../../knowledge/wording.ts'
import type { Deps } from '../../deps.ts'
import { page } from '../../host/answer.ts'

/** How far the trees in use reach, and what they leave out. */
export const show = (deps: Deps) => () => {
  const { knowledge } = deps.library.current()
  return page('author/trees/coverage', {
    title: 'How far the trees reach',
    desk: true,
    back: { href: '/knowledge', text: 'Fault trees' },
    coverage: coverageOf(knowledge),
    gaps: gapsOf(knowledge, deps.storage.walked.symptoms()),
    nearMisses: nearMisses(knowledge),
    kitName: (slug: string) => knowledge.equipment.get(slug)?.name ?? slug,
    knows: (slug: string) => knowledge.equipment.has(slug),
    unknownKinds: unknownKinds(deps),
  })
}

/** Kinds of equipment that stand on the railway and in no file. */
function unknownKinds(deps: Deps): string[] {
  const kinds = new Set(deps.storage.positions.search('', 2000).map(position => position.equipment))
  return [...kinds].filter(kind => !deps.library.current().knowledge.equipment.has(kind)).sort()
}
