import {
  checkEvidence,
  endEvidence,
  longestMinutes,
  type WalkedRecord,
} from '../../../diagnosis/judging/check-evidence.ts'
import { causeKey, pathsTo, reachable, refKey, refOf } from '../../../knowledge/graph.ts'
import type { Deps } from '../../deps.ts'
import { page } from '../../host/answer.ts'
import type { Request } from '../../host/request.ts'
import { byCauseTable, byCheckTable, recordedChecks } from './evidence-tables.ts'
import { treeInUse } from './knowledge.ts'
import { inOrder } from './tree-picture.ts'

/** The newest so many walks of a tree are weighed: older ones were walked on other trees. */
const mostWalks = 300

/** What the record says about each check of a tree in use, and about each cause it leads to. */
export const show = (deps: Deps) => (req: Request) => {
  const { knowledge } = deps.library.current()
  const tree = treeInUse(deps, req)
  const walked = recordsOf(deps, tree.slug)
  const byCheck = checkEvidence(walked)
  const byCause = endEvidence(walked)
  const paths = pathsTo(knowledge, tree, 1)
  const reports = deps.storage.reports.list(tree.slug)
  const checks = inOrder(tree).map(check => ({
    check,
    evidence: byCheck.get(refKey(refOf(check))) ?? null,
    reports: reports.filter(report => report.check === check.slug),
  }))
  const causes = reachable(knowledge, tree).causes.map(cause => ({
    cause,
    checks: paths.get(causeKey(cause))?.[0]?.length ?? null,
    evidence: byCause.get(causeKey(cause)) ?? null,
  }))
  return page('author/trees/evidence', {
    title: `What the record says about ${tree.title}`,
    desk: true,
    back: { href: `/knowledge/${tree.slug}`, text: 'The tree' },
    walks: walked.length,
    most: mostWalks,
    longestMinutes,
    byCheck: byCheckTable(checks),
    byCause: byCauseTable(causes),
    checks: recordedChecks(checks),
  })
}

function recordsOf(deps: Deps, tree: string): WalkedRecord[] {
  return deps.storage.walked
    .listByTree(tree, mostWalks)
    .reverse()
    .flatMap(id => {
      const record = deps.storage.faults.get(id)
      const knowledge = deps.library.edition(record.fault.editionId)?.knowledge
      return knowledge ? [{ record, knowledge }] : []
    })
}
