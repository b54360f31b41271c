import type { ProofItem } from '../../../walk/proof.ts'
import type { Proof } from '../../../walk/record.ts'
import type { Mark } from '../../partials.ts'

/** The checks that prove a repair, each with how its last proof came out. */
export function proofChecks(items: ProofItem[]) {
  return items.flatMap(item =>
    item.kind === 'check'
      ? [{ check: item.check, proof: shownProof(item.proof), mark: checkMark(item) }]
      : [],
  )
}

/** The symptom, looked at again after a repair; `mark` is null before that. */
export function proofSymptoms(items: ProofItem[]) {
  return items.flatMap(item =>
    item.kind === 'symptom'
      ? [{ symptom: item.symptom, proof: shownProof(item.proof), mark: symptomMark(item) }]
      : [],
  )
}

function shownProof(proof: Proof | null) {
  if (!proof) return null
  const { byName, at } = proof
  if (proof.kind !== 'reading') return { byName, at, because: proof.word, advice: null }
  return { byName, at, because: proof.verdict.because, advice: proof.verdict.advice }
}

function checkMark({ state, proof }: ProofItem): Mark {
  if (state === 'passed') return { kind: 'in', word: 'passed' }
  if (state === 'to do') return { kind: 'open', word: 'to do' }
  const close = proof?.kind === 'reading' && proof.verdict.zone.endsWith('close')
  return close ? { kind: 'close', word: 'too close to call: not passed' } : { kind: 'out', word: 'failed' }
}

function symptomMark({ state, proof }: ProofItem): Mark | null {
  if (!proof || proof.kind === 'reading') return null
  return state === 'passed' ? { kind: 'in', word: 'gone' } : { kind: 'out', word: proof.word }
}
