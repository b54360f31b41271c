// What stands beside the text of a draft, cut to what can be read there.

import type { Problem } from '../../../knowledge/problem.ts'
import type { NameGroup } from '../../../knowledge/wording.ts'
import type { DraftText } from '../../../storage/knowledge/drafts.ts'
import type { Times } from '../../../times.ts'
import type { Mark } from '../../partials.ts'

const longestQuote = 200
const mostElsewhere = 30

/** The text itself is beside it: of a long line the beginning is enough. */
export function shownProblem(problem: Problem) {
  return { ...problem, quote: problem.quote?.slice(0, longestQuote) }
}

/** What a draft breaks in other files. */
export function shownElsewhere(problems: Problem[]) {
  return { count: problems.length, shown: problems.slice(0, mostElsewhere) }
}

/** Of a link its words are shown first, of any other name the name itself. */
export function shownNames(groups: NameGroup[]) {
  return groups.map(({ title, names }) => ({
    title,
    names: names.map(({ insert, about }) => {
      const isLink = insert.startsWith('[')
      return { insert, about, shown: isLink ? about : insert, link: isLink ? insert : null }
    }),
  }))
}

/** Texts typed over an older one, to be settled. */
export function shownAsides(asides: DraftText[], times: Times): { id: string; mark: Mark }[] {
  return asides.map(({ id, byName, at }) => ({
    id,
    mark: {
      kind: 'caution',
      word: `Two texts: ${byName} typed another one over an older text, ${times.moment(at)}`,
    },
  }))
}
