// Repair, putting back and proof, as the technicians of the demo do them.

import { causeKey, refOf } from '../../knowledge/graph.ts'
import type { Cause, Check } from '../../knowledge/types.ts'
import type { DisturbedItem } from '../../walk/disturbed.ts'
import { fittingVariants } from '../../walk/fit.ts'
import type { Walk } from '../../walk/place.ts'
import { type ProofItem, round } from '../../walk/proof.ts'
import type { Proof, Repair, Restoration, Swap } from '../../walk/record.ts'
import { keyOf, shownOn, usualRow } from '../railway/routes.ts'
import { minutesFor, readAt, ruleOut, wordOf } from './finding.ts'
import { measures } from './readings.ts'
import { made, pass, type Story } from './story.ts'
import { actionFor, blownFuse, judged, repairWords } from './words.ts'

export function mend(story: Story, cause: Cause): void {
  pass(story, (cause.minutes ?? 20) * story.scene.random.between(0.8, 1.6))
  const swap = cause.replace === null ? null : swapFor(story, cause, cause.replace)
  const action = swap ? 'unit replaced' : actionFor(cause.title)
  const fuse = action === 'fuse replaced' ? blownFuse(cause.title) : null
  const own = { cause: causeKey(cause), action, words: repairWords(action, cause.title), swap, fuse }
  const repair: Repair = { ...made(story, 'repair'), ...own }
  story.record.repairs.push(repair)
  const { byName: _name, ...written } = repair
  story.writes.push(storage => storage.repairs.add({ ...written, faultId: story.record.fault.id }))
}

export function putBack(story: Story, item: DisturbedItem): void {
  pass(story, story.scene.random.between(1, 4))
  const untouched = item.state === 'perhaps'
  const how = untouched ? ('never disturbed' as const) : ('restored' as const)
  const note = untouched ? 'Not begun.' : null
  const restoration: Restoration = { ...made(story, 'restoration'), itemKey: item.key, how, note }
  story.record.restorations.push(restoration)
  const { byName: _name, ...written } = restoration
  story.writes.push(storage => storage.restorations.add({ ...written, faultId: story.record.fault.id }))
}

/** Does the next proof. While the technician is misled the checks of the true cause show it still. */
export function prove(story: Story, walk: Walk, cause: Cause, items: ProofItem[]): void {
  const item = items.find(one => one.state === 'to do')
  if (!item) return
  addProof(
    story,
    item.kind === 'check' ? checkProof(story, walk, cause, item.check) : symptomProof(story, cause),
  )
}

/** A failed proof: the cause was not this, and the true one shows from now on. */
export function acceptFailure(story: Story, cause: Cause, items: ProofItem[]): void {
  const checks = items.filter(item => item.kind === 'check')
  ruleOut(
    story,
    causeKey(cause),
    checks.every(item => item.state === 'passed'),
  )
  story.misled = false
  story.shows = shownOn(story.scene.planned.route)
}

function symptomProof(story: Story, cause: Cause): Proof {
  pass(story, story.scene.random.between(2, 6))
  const passed = !story.misled
  return { ...about(story, cause), passed, kind: 'symptom', word: passed ? 'gone' : 'still there' }
}

function checkProof(story: Story, walk: Walk, cause: Cause, check: Check): Proof {
  pass(story, minutesFor(story, check))
  const healthy = usualRow(check)
  const stillWrong = story.misled ? shownOn(story.scene.planned.route).get(keyOf(check)) : undefined
  const row = stillWrong ?? healthy
  if (!row) throw new Error(`“${check.title}” has no rows.`)
  const common = { ...about(story, cause), check: refOf(check), reason: null }
  if (!measures(check)) {
    return { ...common, passed: row === healthy, kind: 'observation', word: wordOf(row) }
  }
  const { chosenRow, ...read } = readAt(story, walk, check, row)
  const passed = read.range === null ? row === healthy : read.verdict.side === 'in range'
  const reason = chosenRow === null ? null : story.scene.random.pick(judged)
  return { ...common, ...read, passed, kind: 'reading', reason }
}

function about(story: Story, cause: Cause) {
  return { ...made(story, 'proof'), cause: causeKey(cause), round: round(story.record) }
}

function addProof(story: Story, proof: Proof): void {
  story.record.proofs.push(proof)
  const { byName: _name, ...written } = proof
  story.writes.push(storage => storage.proofs.add({ ...written, faultId: story.record.fault.id }))
}

/** The unit out and the spare in, or null where nothing of the kind is fitted or may be. */
function swapFor(story: Story, cause: Cause, kind: string): Swap | null {
  const { depot, equipment, position, planned } = story.scene
  const out = depot.fitted(position, kind)
  const into = depot.spare(equipment, position, kind, planned.incoming)
  if (!out || !into) return null
  depot.swap(position, into)
  const names =
    equipment.units.find(unit => unit.kind === kind && unit.variant === into.variant)?.settings ?? []
  return {
    kind,
    serialOut: out.serial,
    variantOut: /wrong|mixed/i.test(cause.title) ? (wrongVariant(story, kind) ?? out.variant) : out.variant,
    serialIn: into.serial,
    variantIn: into.variant,
    settings: names.map(name => ({ name, asFound: '2', asLeft: '2' })),
    override: null,
  }
}

/** What the label of a wrongly fitted unit said. */
function wrongVariant(story: Story, kind: string): string | null {
  const { equipment, position, random } = story.scene
  const wrong = fittingVariants(equipment, position.facts, kind).filter(({ fit }) => !fit.ok)
  return wrong.length > 0 ? random.pick(wrong).unit.variant : null
}
