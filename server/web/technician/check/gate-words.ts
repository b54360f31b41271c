import type { Gate } from './check-insulation.ts'

/** The gate before an insulation test with its words joined: what is confirmed, why it is not open yet. */
export function withWords(gate: Gate) {
  return {
    ...gate,
    confirmed: gate.items.map(item => item.words).join(' · '),
    why: gate.reasons.join(' '),
  }
}
