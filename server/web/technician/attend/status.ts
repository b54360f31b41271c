import { type HandoverSummary, handoverSummary } from '../../../walk/handover.ts'
import type { NarratedRow } from '../../../walk/narrate.ts'
import { type PlaceRow, placeList } from '../../../walk/place-list.ts'
import { proofsNeeded } from '../../../walk/proof.ts'
import type { Deps } from '../../deps.ts'
import { page } from '../../host/answer.ts'
import type { Request } from '../../host/request.ts'
import type { Mark, SummaryRow, TimelineEntry } from '../../partials.ts'
import { readFault } from '../in-hand/fault-in-hand.ts'
import { foundWords } from '../in-hand/found-words.ts'
import { narratedEntries } from '../in-hand/narrated-entries.ts'
import { placeInWalk } from '../in-hand/place-in-walk.ts'
import { youAreHere } from './you-are-here.ts'

/** One page, printable at any time: place reached, done and not done, what is disturbed. */
export const show = (deps: Deps) => (req: Request) => {
  const fault = readFault(deps, req)
  const summary = handoverSummary(fault.knowledge, fault.record)
  return page('technician/attend/status', {
    title: 'How it stands now',
    fault,
    place: placeInWalk(fault),
    summary,
    rows: statusRows(summary),
    checks: checksOnTheWay(
      placeList(fault.knowledge, fault.record.fault.tree, fault.walk),
      `/faults/${fault.record.fault.id}`,
    ),
    besides: narratedEntries(besidesChecks(summary.history), deps.times),
    here: youAreHere(fault.knowledge, fault.walk),
    proofs: proofsNeeded(fault.knowledge, fault.walk, fault.record, fault.disturbed),
    now: deps.clock().toISOString(),
  })
}

const marks: Partial<Record<PlaceRow['kind'], Mark>> = {
  done: { kind: 'done', word: 'Done' },
  current: { kind: 'current', word: 'Here' },
  skipped: { kind: 'skipped', word: 'Skipped' },
}

/** Every check of the tree as the place-list partial takes it; `base`: address of the fault. */
function checksOnTheWay(places: PlaceRow[], base: string) {
  return {
    walked: places.flatMap(row => walkedEntry(row, base)),
    open: titlesOf(places, 'open'),
    out: titlesOf(places, 'not applicable'),
  }
}

function walkedEntry(row: PlaceRow, base: string): TimelineEntry[] {
  const mark = marks[row.kind]
  if (!mark) return []
  const href = row.check && `${base}/checks/${row.check.tree}/${row.check.slug}`
  const detail = row.finding && foundWords(row.finding)
  return [{ ...mark, text: row.title, href, detail, why: row.because }]
}

function titlesOf(places: PlaceRow[], kind: PlaceRow['kind']): string[] {
  return places.filter(row => row.kind === kind).map(row => row.title)
}

/** What comes next, where the fault stands, and which causes are ruled out. */
function statusRows({ next, state, excluded }: HandoverSummary): SummaryRow[] {
  const ruledOut = excluded.length > 0 ? [{ key: 'Ruled out', value: excluded.join(', ') }] : []
  return [{ key: 'Next', value: next }, { key: 'State', value: state }, ...ruledOut]
}

/** What happened besides the findings that the list of checks shows already. */
function besidesChecks(rows: NarratedRow[]): NarratedRow[] {
  return rows.filter(row => row.kind !== 'finding' || row.struck || row.offPath)
}
