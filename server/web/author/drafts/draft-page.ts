import { type DiffLine, lineDiff, shortened } from '../../../knowledge/editions/line-diff.ts'
import type { Problem } from '../../../knowledge/problem.ts'
import { namesToUse, nearMisses, offeredCautions } from '../../../knowledge/wording.ts'
import type { Draft } from '../../../storage/storage.ts'
import type { Deps } from '../../deps.ts'
import { shownNearMisses } from '../trees/near-misses.ts'
import { pictureOf } from '../trees/tree-picture.ts'
import { shownAsides, shownElsewhere, shownNames, shownProblem } from './panel-lists.ts'
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

/** More numbered lines than this help nobody. */
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
