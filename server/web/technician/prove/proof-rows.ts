import type { DisturbedItem } from '../../../walk/disturbed.ts'
import type { ProofItem } from '../../../walk/proof.ts'
import type { Proof } from '../../../walk/record.ts'
import type { Mark } from '../../partials.ts'

/** The checks that prove a repair, each with how its last proof came out; `waits`: what must be put back first. */
export function proofChecks(items: ProofItem[], waitsFor: (item: ProofItem) => DisturbedItem[]) {
  return items.flatMap(item =>
    item.kind === 'check'
      ? [{ check: item.check, ...shownItem(item), waits: namesOf(waitsFor(item)), mark: checkMark(item) }]
      : [],
  )
}

/** The symptom, looked at again after a repair; `mark` is null before that. */
export function proofSymptoms(items: ProofItem[], waitsFor: (item: ProofItem) => DisturbedItem[]) {
  return items.flatMap(item =>
    item.kind === 'symptom'
      ? [
          {
            symptom: item.symptom,
            ...shownItem(item),
            waits: namesOf(waitsFor(item)),
            mark: symptomMark(item),
          },
        ]
      : [],
  )
}

/** "supply fuse out; door strap off"; '' for none. */
export function namesOf(items: DisturbedItem[]): string {
  return [...new Set(items.map(one => one.item))].join('; ')
}

function shownItem({ proof, setAside }: ProofItem) {
  return {
    proof: shownProof(proof ?? setAside?.proof ?? null),
    /** What was disturbed when it was last proved, so that it does not count; '' where it counts. */
    against: setAside ? namesOf(setAside.disturbed) : '',
  }
}

function shownProof(proof: Proof | null) {
  if (!proof) return null
  const { byName, at } = proof
  const by = proof.kind !== 'symptom' && proof.reason ? `By: ${proof.reason}.` : null
  if (proof.kind !== 'reading') return { byName, at, because: proof.word, advice: by }
  return { byName, at, because: proof.verdict.because, advice: proof.verdict.advice ?? by }
}

function checkMark({ state, proof, setAside }: ProofItem): Mark {
  if (state === 'passed') return { kind: 'in', word: 'passed' }
  if (state === 'to do') return { kind: 'open', word: setAside ? 'does not count: do again' : 'to do' }
  const close = proof?.kind === 'reading' && proof.verdict.zone.endsWith('close')
  return close ? { kind: 'close', word: 'too close to call: not passed' } : { kind: 'out', word: 'failed' }
}

function symptomMark({ state, proof, setAside }: ProofItem): Mark | null {
  if (setAside) return { kind: 'open', word: 'does not count: look again' }
  if (!proof || proof.kind === 'reading') return null
  return state === 'passed' ? { kind: 'in', word: 'gone' } : { kind: 'out', word: proof.word }
}
