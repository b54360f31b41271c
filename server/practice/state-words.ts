// What a check takes off, puts back and asks of the signal, read from its own words, so that it follows the text.

import { asFound, type LineName, type Removable, type State } from '../circuit/world.ts'
import type { Check } from '../knowledge/types.ts'

interface Draft {
  lifted: Set<string>
  out: Set<Removable>
  testLoad: Set<LineName>
  testLoop: Set<LineName>
  leads: [string, string][]
  newFuse: boolean
  due: boolean
}

const TERMINAL = /\b(?:L?[AT][12]|[UZYSLHDPKRNV][012]|PR[012]|Q[12]|S[AT])\b/g
const OUT: [RegExp, Removable][] = [
  [/supply fuse/i, 'supply fuse'],
  [/(?:surge )?arrester/i, 'surge arrester'],
  [/power module/i, 'power module'],
  [/charger/i, 'charger'],
  [/(?:transmitter )?module/i, 'transmitter module'],
]
const DETECTOR_LEADS = ['ED1', 'ED2']
/** Groups of terminals that a text speaks of without naming them. */
const GROUPS: [RegExp, string[]][] = [
  [/feeder cores?|section links/i, ['U1', 'U2', 'Z1', 'Z2']],
  [/line cores? at both ends/i, ['L1', 'L2', 'H1', 'H2']],
  [/arming and trigger cores/i, ['A1', 'A2', 'T1', 'T2']],
  [/supply wires/i, ['S1', 'S2']],
]

/** The state in which the reading of this check is taken. */
export function stateAt(check: Check, before: State): State {
  const draft = { ...draftOf(before), due: dueAt(check, before.due) }
  if (check.disturbs) disturb(check.disturbs, draft)
  for (const sentence of instructionOf(check).before) follow(sentence, draft)
  return draft
}

function draftOf(state: State): Draft {
  return {
    ...{ lifted: new Set(state.lifted), out: new Set(state.out), testLoad: new Set(state.testLoad) },
    ...{ testLoop: new Set(state.testLoop), leads: state.leads.map(([a, b]): [string, string] => [a, b]) },
    ...{ newFuse: state.newFuse, due: state.due },
  }
}

/** The state that the check leaves: what its instruction puts back after the reading is back. */
export function stateAfter(check: Check, at: State): State {
  const { after } = instructionOf(check)
  if (after.length === 0) return at
  const draft = draftOf(at)
  for (const sentence of after) follow(sentence, draft)
  return draft
}

function follow(sentence: string, draft: Draft): void {
  turnDrive(sentence, draft)
  obey(sentence, draft)
}

/** A sentence that takes the reading. */
const READS = /^(?:then )?(?:measure|read|test|hold|clip|subtract|enter)\b/i

/** The sentences up to the last that takes the reading, and those that put something back after it. */
function instructionOf({ does, instruction }: Check): { before: string[]; after: string[] } {
  const sentences = sentencesOf(instruction)
  const last = does.kind === 'measure' ? sentences.findLastIndex(sentence => READS.test(sentence)) : -1
  const split = last < 0 ? sentences.length : last + 1
  return { before: sentences.slice(0, split), after: sentences.slice(split) }
}

/** As the technician finds it, with or without a call for the output. */
export function stateFound(due: boolean): State {
  return { ...asFound, due }
}

function sentencesOf(text: string): string[] {
  return text.split(/(?<=[.!?])\s+/)
}

const NOT_DUE = /no drive due|with no drive|proceed aspect|shows proceed|idle drive/i
const DUE = /drive due|drive is due|at danger|to danger/i

/** Whether the signal calls for the output, by what the check says of it. */
function dueAt({ does, title, instruction }: Check, before: boolean): boolean {
  const words = `${title}. ${does.kind === 'measure' ? does.quantity : does.what}. ${instruction}`
  if (NOT_DUE.test(words)) return false
  return DUE.test(words) || before
}

const DRIVE_OFF = /drive off\b/i
const DRIVE_ON = /\bdrive (?:back )?on\b|drive wire back/i

/** The drive is turned off by opening its way to the module, whatever the signal shows. */
function turnDrive(words: string, draft: Draft): void {
  if (DRIVE_OFF.test(words)) draft.lifted.add('D1')
  else if (DRIVE_ON.test(words)) draft.lifted.delete('D1')
}

function obey(sentence: string, draft: Draft): void {
  if (/\b(?:put|connect|refit|reconnect|restore)\b.*\b(?:back|again)\b/i.test(sentence))
    putBack(sentence, draft)
  else takeOff(sentence, draft)
}

function takeOff(sentence: string, draft: Draft): void {
  if (/\bfit (?:a|another|the right) fuse\b|fit another of the rating/i.test(sentence)) renewFuse(draft)
  if (/join the two cores at the far end/i.test(sentence)) draft.leads.push(['Z1~', 'Z2~'])
  if (/take the far-end loop off/i.test(sentence)) draft.leads = []
  if (/take the earth-fault detector off/i.test(sentence)) isolate('the detector', draft)
  if (/take the test load off/i.test(sentence)) draft.testLoad.clear()
  if (/connect the test load/i.test(sentence)) fitTest(sentence, draft.testLoad)
  if (/connect the test loop|put the test loop|join the test loop/i.test(sentence))
    fitTest(sentence, draft.testLoop)
  if (/where they are still on|^lift|\blift the\b/i.test(sentence)) lift(sentence, draft)
  if (/^isolate\b/i.test(sentence)) isolate(sentence, draft)
  if (/^open the (?:\w+ )?links? at/i.test(sentence)) lift(sentence.replace(/links? at/i, 'link off'), draft)
  if (/^(?:take|pull)\b.*\bout\b/i.test(sentence)) takeOut(sentence, draft)
}

function renewFuse(draft: Draft): void {
  draft.newFuse = true
  draft.out.delete('supply fuse')
}

function putBack(words: string, draft: Draft): void {
  const sentence = words.replace(/without .*/i, '')
  for (const [words, part] of OUT) if (words.test(sentence)) draft.out.delete(part)
  const named = terminalsIn(sentence)
  for (const terminal of named) draft.lifted.delete(terminal)
  if (named.length === 0 && /cores|wires|screens|loop ends/i.test(sentence)) putBackGroup(sentence, draft)
  if (/test load|cores/i.test(sentence)) draft.testLoad.clear()
}

function putBackGroup(sentence: string, draft: Draft): void {
  const kinds: [RegExp, RegExp][] = [
    [/cores/i, /^[AT][12]$/],
    [/screens?/i, /^S[AT]$/],
    [/supply wires/i, /^(?:S[12]|N1)$/],
    [/loop ends/i, /^L[AT][12]$/],
  ]
  for (const [words, terminals] of kinds) {
    if (words.test(sentence))
      for (const one of draft.lifted) if (terminals.test(one)) draft.lifted.delete(one)
  }
  if (/screens?/i.test(sentence)) draft.leads = []
}

function fitTest(sentence: string, fitted: Set<LineName>): void {
  if (/\bL?A[12]\b|arming/i.test(sentence)) fitted.add('arming')
  if (/\bL?T[12]\b|trigger/i.test(sentence)) fitted.add('trigger')
}

function lift(sentence: string, draft: Draft): void {
  const after = sentence.slice(Math.max(0, sentence.search(/\b(?:from|off)\b/)))
  for (const terminal of terminalsIn(after)) draft.lifted.add(terminal)
  for (const [words, group] of GROUPS)
    if (words.test(sentence)) for (const one of group) draft.lifted.add(one)
}

/** What is isolated at the fuse has its fuse out; what is isolated at a busbar has its wire off. */
function isolate(sentence: string, draft: Draft): void {
  if (/\bF1\b|the supply/.test(sentence)) draft.out.add('supply fuse')
  if (/\bN1\b/.test(sentence)) draft.lifted.add('N1')
  if (/the charger/.test(sentence)) draft.out.add('charger')
  if (/the transformer/.test(sentence)) draft.lifted.add('Z1')
  if (/the detector/.test(sentence)) for (const lead of DETECTOR_LEADS) draft.lifted.add(lead)
}

function takeOut(sentence: string, draft: Draft): void {
  const part = OUT.find(([words]) => words.test(sentence))
  if (part) draft.out.add(part[1])
}

function disturb(text: string, draft: Draft): void {
  for (const part of text.split(/,\s*(?!(?:[A-Z]{1,2}\d|[A-Z]\d and))/)) disturbOne(part, draft)
}

function disturbOne(part: string, draft: Draft): void {
  turnDrive(part, draft)
  const lead = /test lead from the (arming|trigger) screen to (L[AT]1)/.exec(part)
  if (lead) draft.leads.push([lead[1] === 'arming' ? 'SA@link' : 'ST@link', lead[2] ?? ''])
  else if (/test load on/.test(part)) fitTest([...draft.lifted].join(' '), draft.testLoad)
  else if (/test loop/.test(part)) fitTest(part, draft.testLoop)
  else if (/section links open/.test(part)) lift(part, draft)
  else if (/\bout\b/.test(part) || /arrester off/.test(part)) takeOut(part, draft)
  else if (/\boff\b/.test(part) && !DRIVE_OFF.test(part)) lift(part, draft)
}

function terminalsIn(text: string): string[] {
  return text.match(TERMINAL) ?? []
}
