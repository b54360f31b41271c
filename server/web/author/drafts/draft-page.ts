import { type DiffLine, lineDiff, shortened } from '../../../knowledge/editions/line-diff.ts'
import type { Problem } from '../../../knowledge/problem.ts'
import { type NameGroup, namesToUse, nearMisses, offeredCautions } from '../../../knowledge/wording.ts'
import type { DraftText } from '../../../storage/knowledge/drafts.ts'
import type { Draft } from '../../../storage/storage.ts'
import type { Times } from '../../../times.ts'
import type { Deps } from '../../deps.ts'
import type { Mark } from '../../partials.ts'
import { shownNearMisses } from '../trees/near-misses.ts'
import { pictureOf } from '../trees/tree-picture.ts'
import { type Checked, checkDraft, companions, slugOf } from './workbench.ts'

/** The whole page of a draft; `text` may be another than its newest. */
export function draftLocals(deps: Deps, draft: Draft, text: string | null, writes: boolean) {
  return {
    title: draft.path,
    desk: true,
    writes,
    text,
    lines: (text ?? '').split('\n').slice(0, mostLines),
    companions: companions(deps, draft)
      .map(one => one.path)
      .join(', '),
    begunByName: deps.storage.people.find(draft.begunBy)?.name ?? draft.begunBy,
    writers: deps.storage.drafts
      .writers(draft.id)
      .map(id => deps.storage.people.find(id)?.name ?? id)
      .join(', '),
    asides: shownAsides(draft.asides, deps.times),
    moved: movedMeanwhile(deps, draft),
    withdrawn:
      deps.storage.publications.withdrawnTrees().find(one => one.tree === slugOf(draft.path)) ?? null,
    ...panelLocals(deps, draft, text),
  }
}

/** More numbered lines are of no help. */
const mostLines = 4000

/** What stands beside the text and is made anew at each pause: problems, drawing, names. */
export function panelLocals(deps: Deps, draft: Draft, text: string | null) {
  const checked = checkDraft(deps, draft, text)
  const { tree, knowledge, equipment } = checked
  return {
    draft,
    checked,
    verdict: { kind: checked.sound ? 'in' : 'out', word: countWords(checked) },
    shown: checked.problems.slice(0, mostProblems).map(shownProblem),
    left: Math.max(0, checked.problems.length - mostProblems),
    elsewhere: shownElsewhere(checked.elsewhere),
    picture: tree && tree.checks.size > 0 ? pictureOf(knowledge, tree, { zoom: null }) : null,
    names: equipment ? shownNames(namesToUse(equipment, tree)) : [],
    nearMisses: tree ? shownNearMisses(nearMisses(knowledge, tree.slug)).slice(0, mostNearMisses) : [],
    cautions: tree && equipment ? offeredCautions(knowledge, equipment, tree) : [],
  }
}

const mostProblems = 60
const mostNearMisses = 12

function countWords({ problems, elsewhere }: Checked): string {
  const of = (list: Problem[], severity: Problem['severity']) =>
    list.filter(one => one.severity === severity).length
  const [errors, warnings, others] = [of(problems, 'error'), of(problems, 'warning'), of(elsewhere, 'error')]
  const words = [
    `${errors} ${errors === 1 ? 'error' : 'errors'}`,
    `${warnings} ${warnings === 1 ? 'warning' : 'warnings'}`,
    ...(others > 0 ? [`${others} in other files`] : []),
  ]
  return errors + warnings + others === 0 ? 'No problems' : words.join(', ')
}

/** The file in use, when it is another than the one the draft was begun on. */
function movedMeanwhile(deps: Deps, draft: Draft): { diff: (DiffLine | null)[] } | null {
  const textIn = (editionId: string) =>
    deps.library.files(editionId).find(file => file.path === draft.path)?.text ?? ''
  const [before, now] = [textIn(draft.baseEditionId), textIn(deps.library.current().id)]
  return before === now ? null : { diff: shortened(lineDiff(before, now)) }
}

// What stands beside the text of a draft, cut to what can be read there.

const longestQuote = 200
const mostElsewhere = 30

/** The text itself is beside it: of a long line the beginning is enough. */
function shownProblem(problem: Problem) {
  return { ...problem, quote: problem.quote?.slice(0, longestQuote) }
}

/** What a draft breaks in other files. */
function shownElsewhere(problems: Problem[]) {
  return { count: problems.length, shown: problems.slice(0, mostElsewhere) }
}

/** Of a link its words are shown first, of any other name the name itself. */
function shownNames(groups: NameGroup[]) {
  return groups.map(({ title, names }) => ({
    title,
    names: names.map(({ insert, about }) => {
      const isLink = insert.startsWith('[')
      return { insert, about, shown: isLink ? about : insert, link: isLink ? insert : null }
    }),
  }))
}

/** Texts typed over an older one, to be settled. */
function shownAsides(asides: DraftText[], times: Times): { id: string; mark: Mark }[] {
  return asides.map(({ id, byName, at }) => ({
    id,
    mark: {
      kind: 'caution',
      word: `Two texts: ${byName} typed another one over an older text, ${times.moment(at)}`,
    },
  }))
}
