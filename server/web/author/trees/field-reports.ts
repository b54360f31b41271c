import { z } from 'zod'
import { titleOf } from '../../../knowledge/examples.ts'
import type { FieldReport } from '../../../storage/knowledge/reports.ts'
import type { Deps } from '../../deps.ts'
import { formAgain, page, redirectAfterWrite } from '../../host/answer.ts'
import { formId, readForm, words } from '../../host/read-form.ts'
import { person, type Request } from '../../host/request.ts'
import type { Mark } from '../../partials.ts'

const answered = z.object({ id: formId, words: words('Write what was done about it, or why nothing is.') })
const mostShown = 200

/** What technicians said about checks, those without an answer first. */
export const index = (deps: Deps) => () => {
  return page('author/trees/field-reports', listLocals(deps))
}

/** The answer goes to the reporter's own page of faults. */
export const answer = (deps: Deps) => (req: Request) => {
  const reportId = String(req.params.report)
  const form = readForm(answered, req)
  if (!form.ok) {
    const errors = { [`words-${reportId}`]: form.errors.words ?? form.errors.id ?? '' }
    return formAgain('author/trees/field-reports', { ...listLocals(deps), values: req.body, errors })
  }
  const { id, words: said } = form.data
  deps.storage.reports.answer({ id, reportId, by: person(req).id, words: said })
  return redirectAfterWrite(deps, req, id, '/field-reports')
}

function listLocals(deps: Deps) {
  const { knowledge } = deps.library.current()
  const reports = deps.storage.reports.list()
  const waits = (report: (typeof reports)[number]) => report.answers.length === 0
  return {
    title: 'Reports from the field',
    desk: true,
    back: { href: '/knowledge', text: 'Fault trees' },
    reports: [...reports.filter(waits), ...reports.filter(report => !waits(report))]
      .slice(0, mostShown)
      .map(report =>
        shownReport(
          report,
          knowledge.trees.get(report.tree)?.title ?? report.tree,
          titleOf(knowledge, { kind: 'check', tree: report.tree, check: report.check }),
        ),
      ),
  }
}

/** A report from the field with how it stands and what it is about. */
function shownReport(report: FieldReport, treeTitle: string, checkTitle: string) {
  const answered = report.answers.length > 0
  const mark: Mark = answered
    ? { kind: 'done', word: 'answered' }
    : { kind: 'waiting', word: 'no answer yet' }
  return { ...report, treeTitle, checkTitle, mark, severity: answered ? 'warning' : 'error' }
}
