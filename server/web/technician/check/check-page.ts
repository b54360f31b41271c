import { createObjectCache, memo } from '../../../cache.ts'
import { renderMarkdown } from '../../../knowledge/render.ts'
import type { Check } from '../../../knowledge/types.ts'
import { calibration, type Instrument } from '../../../measurement/instruments/instrument.ts'
import type { Range } from '../../../measurement/limits/expectation.ts'
import { formatRange } from '../../../measurement/readings/format.ts'
import { findUnit } from '../../../measurement/readings/units.ts'
import { placeKey } from '../../../walk/place.ts'
import { capitalize, chancePercent } from '../../../words.ts'
import type { Deps } from '../../deps.ts'
import type { Choice } from '../../partials.ts'
import { shownCaution } from '../../shown-caution.ts'
import type { FaultInHand, WalkInHand } from '../in-hand/fault-in-hand.ts'
import { foundWords } from '../in-hand/found-words.ts'
import { placeInWalk } from '../in-hand/place-in-walk.ts'
import { type Outlook, offerOf, outlookOf, shownSuggestion, suggestionFor } from '../likely/outlook.ts'
import { expectedBar, groundOf } from './check-drawings.ts'
import { takingOf } from './check-taking.ts'
import { expectedRange } from './judged.ts'
import { justFound } from './just-found.ts'
import { gateFields } from './reading-fields.ts'
import { terminalsDrawn } from './terminals-drawn.ts'

/** What was typed and what is still asked, when the form comes back. */
export interface AskedAgain {
  values?: Record<string, unknown>
  errors?: Record<string, string>
  question?: unknown
  chooseRow?: string | null
  judgeProof?: boolean
  reported?: string | null
}

/** What the page of a check shows wherever it is walked; `base`: address of the fault or round. */
export function checkLocals(
  deps: Deps,
  walk: WalkInHand,
  check: Check,
  instrument: Instrument | null,
  again: AskedAgain,
  base: string,
) {
  const replaces = typeof again.values?.replaces === 'string' ? again.values.replaces : ''
  const old = walk.record.findings.find(finding => finding.id === replaces)
  return {
    title: check.title,
    check,
    number: walk.walk.path.filter(step => step.kind === 'check').length + 1,
    ...drawnOf(walk, check),
    unit: check.does.kind === 'measure' ? (findUnit(check.does.meter)?.shown ?? '') : null,
    unitKeys: unitKeys(check),
    asks: answerLabel(check),
    meanings: meaningChoices(again.question),
    rowChoices: rowChoices(check),
    formPath: formPath(check, replaces),
    choosing: choosingAddress(base, check, formPath(check, replaces), again.values),
    draftEnd: draftEnd(check, again.values?.series),
    instrument: instrument && {
      calibration: calibration(instrument, deps.clock().toISOString()),
      ...instrument,
    },
    taking: takingOf(walk, check, instrument, again.values ?? {}, again.errors ?? {}),
    replaces,
    old: old ? { words: foundWords(old), byName: old.byName, at: old.at } : null,
    values: {},
    errors: {},
    question: null,
    chooseRow: null,
    judgeProof: false,
    reported: null,
    ...again,
  }
}

/** What the page of a check shows at a fault: also what is likely, and a suggestion where the walk stands at it. */
export function faultCheckLocals(
  deps: Deps,
  fault: FaultInHand,
  check: Check,
  instrument: Instrument | null,
  again: AskedAgain,
) {
  const locals = checkLocals(deps, fault, check, instrument, again, `/faults/${fault.record.fault.id}`)
  const here = fault.stage.kind === 'check' && fault.stage.check === check && !locals.replaces
  const outlook = here ? outlookOf(deps, fault) : null
  const suggestion = outlook && suggestionFor(fault, outlook)
  return {
    ...locals,
    fault,
    place: placeInWalk(fault),
    found: here ? justFound(deps, fault) : null,
    from: placeKey(fault.walk.place),
    suggestion: shownSuggestion(suggestion),
    offered: offerOf(suggestion),
    likely: outlook ? likelyWords(outlook) : null,
  }
}

/** What a check looks like follows from the record alone, so it is drawn once for as long as the record stays. */
const drawingsOf = memo((_record: WalkInHand['record']) =>
  createObjectCache<Check, ReturnType<typeof draw>>(),
)

function drawnOf(walk: WalkInHand, check: Check): ReturnType<typeof draw> {
  return drawingsOf(walk.record)(check, () => draw(walk, check))
}

function draw(walk: WalkInHand, check: Check) {
  return {
    cautions: check.cautions.map(shownCaution),
    instruction: renderMarkdown(check.instruction),
    expected: expectedWords(walk, check),
    terminals: terminalsDrawn(walk, check),
    ground: groundOf(walk, check, expectedRange(walk, check).range),
    words: wordChoices(offeredWords(check)),
  }
}

/** "Supply fuse blown 46 %, loop broken 21 %" */
function likelyWords({ ranking }: Outlook): string {
  const first = ranking.causes.filter(one => !one.ruledOutBy).slice(0, 3)
  return first.map(one => `${one.cause.title} ${chancePercent(one.probability)}`).join(', ')
}

/** The expected range in words and as a bar, or why there is none; null where nothing is measured. */
function expectedWords(walk: WalkInHand, check: Check) {
  if (check.does.kind !== 'measure') return null
  const { range, problem } = expectedRange(walk, check)
  if (check.blind) return { hidden: true }
  return {
    hidden: false,
    problem,
    text: range && formatRange(range),
    working: range?.working ?? null,
    demo: check.does.demo,
    from: check.does.from,
    bar: range && expectedBar(range, null),
    nothing: nothingWords(check, range),
  }
}

/** How little counts as nothing, where the check has a row for that. */
function nothingWords(check: Check, range: Range | null): string | null {
  if (!range?.nothing || !check.rows.some(({ match }) => match.kind === 'none')) return null
  const { text, demo } = range.nothing
  return `${capitalize(text)} counts as nothing${demo ? ' (demo value)' : ''}.`
}

/** What an observation can be, in the author's order. */
function offeredWords(check: Check): string[] {
  const words = check.rows.flatMap(row => (row.match.kind === 'word' ? [row.match.word] : []))
  const rest = check.rows.some(row => row.match.kind === 'otherwise')
  return rest ? [...words, 'something else'] : words
}

/** What the answer's field asks for, as its label. */
function answerLabel(check: Check): string {
  return capitalize(check.does.kind === 'measure' ? check.does.quantity : check.does.what)
}

/** What the keypad writes after a number: the prefixes that meters show of a quantity. */
const prefixKeys = new Map([
  ['V AC', ['mV', 'V']],
  ['V DC', ['mV', 'V']],
  ['A', ['mA', 'A']],
  ['ohm', ['mΩ', 'Ω', 'kΩ', 'MΩ']],
  ['Hz', ['Hz', 'kHz']],
])

function unitKeys({ does }: Check): string[] {
  return does.kind === 'measure' ? (prefixKeys.get(findUnit(does.unit)?.base ?? '') ?? []) : []
}

/** The words an observation can be, to choose from. */
function wordChoices(words: string[]): Choice[] {
  return words.map(word => ({ value: word, label: capitalize(word) }))
}

/** What a reading may have meant, where that is asked; `question` as the judging of it gave it. */
function meaningChoices(question: unknown): Choice[] {
  const { ask } = (question ?? {}) as { ask?: { choices: { text: string; means: string }[] } }
  return (ask?.choices ?? []).map(({ text, means }) => ({ value: text, label: means }))
}

/** The rows of a check, to choose from where the finding does not decide. */
function rowChoices(check: Check): Choice[] {
  return check.rows.map(({ label, means }) => ({ value: label, label, hint: means }))
}

/** The end of the name of an answer's draft on the tablet; each reading of a series has its own draft. */
function draftEnd(check: Check, series: unknown): string {
  const place = `${check.tree}-${check.slug}`
  return series ? `${place}-${String(series).split(';').length}` : place
}

/**
 * Where the instrument for the check is chosen, and from there back to this step, whatever address showed it; `step`:
 * the step's own, below the fault or the round. What was confirmed before an insulation test stays confirmed.
 */
export function choosingAddress(
  base: string,
  check: Check,
  step: string,
  values: Record<string, unknown> = {},
): string {
  const confirmed = new URLSearchParams(gateFields(values)).toString()
  const back = `${base}/${step}${confirmed ? `?${confirmed}` : ''}`
  return `${base}/instrument/${check.tree}/${check.slug}?return=${encodeURIComponent(back)}`
}

/** Where the form is, below the fault or the round; `replaces`: id of the finding it corrects, or ''. */
function formPath(check: Check, replaces: string): string {
  return replaces ? `findings/${replaces}/correction` : `checks/${check.tree}/${check.slug}`
}
