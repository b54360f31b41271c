// Findings for tests, in few words.

import type { Verdict } from '../../server/measurement/verdicts/verdict.ts'
import type { Finding } from '../../server/walk/record.ts'

let count = 0

function made() {
  count += 1
  const at = `2026-11-25T02:${String(count % 60).padStart(2, '0')}:00.000Z`
  return {
    id: `f${count}`,
    attendanceId: 'a1',
    at,
    by: 'p1',
    byName: 'Alex',
    seq: count,
    replaces: null,
    reason: null,
    note: null,
  }
}

/** `check` as `tree#check`, or a check of the tree `dead`. A side is a reading; any other word an observation. */
export function found(check: string, what: string): Finding {
  const ref = refOf(check)
  if (what === 'cannot tell') return { ...made(), kind: 'cannot tell', check: ref, chosenRow: null }
  if (isSide(what)) return reading(check, what, 'in', null)
  return { ...made(), kind: 'observation', check: ref, word: what, chosenRow: null }
}

/** A reading of 100 against 99 to 121, with the verdict given. */
export function reading(
  check: string,
  side: Verdict['side'],
  zone: Verdict['zone'],
  probability: number | null,
): Finding {
  return {
    ...made(),
    kind: 'reading',
    check: refOf(check),
    text: '100',
    reading: { kind: 'value', value: 100, resolution: 0.1, unit: 'V AC' },
    range: {
      min: 99,
      max: 121,
      unit: 'V AC',
      text: '99 to 121 V AC',
      from: 'Demo value',
      demo: true,
      working: null,
      floor: null,
    },
    verdict: { side, zone, rule: 'guarded', probability, uncertainty: 2, because: '', advice: null },
    chosenRow: null,
    instrument: 'm1',
  }
}

export function rejected(cause: string, mended = false): Finding {
  return { ...made(), kind: 'rejection', cause: `set/${cause}`, mended }
}

function refOf(check: string) {
  const [first = '', second] = check.split('#')
  return second === undefined ? { tree: 'dead', check: first } : { tree: first, check: second }
}

function isSide(word: string): word is Verdict['side'] {
  return ['in range', 'below', 'above', 'none', 'open', 'unknown'].includes(word)
}
