// What a row asks to be on record, once its words have been matched to the knowledge in use.

import type { Cause, Knowledge } from '../knowledge/types.ts'
import type { BadRow, ParsedRow } from './parse-rows.ts'
import { bare, type Subject } from './subjects.ts'

/** What is not said (null) leaves what is on record as it is. */
export interface SiteRow {
  line: number
  name: string
  railwayLine: string | null
  mileage: string | null
  access: string | null
}

export interface PositionRow {
  line: number
  plate: string
  site: string
  name: string
  equipment: string
  indicated: boolean | null
  inService: string | null
  outOfService: string | null
  facts: Record<string, string>
}

export interface UnitRow {
  line: number
  kind: string
  serial: string
  variant: string
  plate: string | null
  fittedAt: string | null
}

export interface PastFaultRow {
  line: number
  plate: string
  reportedAt: string
  closedAt: string | null
  /** In the file's words, and the fault tree they stand for. */
  symptom: string
  tree: string
  treeEquipment: string
  /** In the file's words; `cause` is its key, null where it stands for none. */
  causeWords: string
  cause: string | null
  nothingFound: boolean
  reportedBy: string | null
  words: string
  protection: 'kept' | 'lost' | 'not known'
  reference: string | null
  /** °C */
  temperature: number | null
}

export interface DayRow {
  line: number
  /** "2026-03-05" */
  day: string
  /** °C */
  lowest: number
  highest: number
}

export type ReadyRows =
  | { subject: 'sites'; rows: SiteRow[] }
  | { subject: 'positions'; rows: PositionRow[] }
  | { subject: 'units'; rows: UnitRow[] }
  | { subject: 'past faults'; rows: PastFaultRow[] }
  | { subject: 'temperatures'; rows: DayRow[] }

/** Words of the file (see bare) → slug of a fault tree, `equipment/cause`, or the two below. */
export interface Meanings {
  symptoms: Map<string, string>
  causes: Map<string, string>
}
/** The same, as data. */
export interface WordMeanings {
  symptoms: Record<string, string>
  causes: Record<string, string>
}
export const nothingFound = 'nothing found'
export const notCoded = 'not coded'

type Readied<T> = { row: T } | { reason: string }

/** `now` is UTC ISO text: nothing of the past is later. */
export function readyRows(
  subject: Subject,
  good: ParsedRow[],
  knowledge: Knowledge,
  meanings: Meanings,
  now: string,
): { ready: ReadyRows; bad: BadRow[] } {
  const bad: BadRow[] = []
  function all<T>(ready: (row: ParsedRow) => Readied<T>): T[] {
    return good.flatMap(parsed => {
      const made = ready(parsed)
      if ('row' in made) return [made.row]
      bad.push({ line: parsed.line, reason: made.reason })
      return []
    })
  }
  switch (subject) {
    case 'sites':
      return { ready: { subject, rows: all(siteRow) }, bad }
    case 'positions':
      return { ready: { subject, rows: all(row => positionRow(row, knowledge, now)) }, bad }
    case 'units':
      return { ready: { subject, rows: all(row => unitRow(row, knowledge, now)) }, bad }
    case 'past faults':
      return { ready: { subject, rows: all(row => pastFaultRow(row, knowledge, meanings, now)) }, bad }
    case 'temperatures':
      return { ready: { subject, rows: all(row => dayRow(row, now)) }, bad }
  }
}

function siteRow({ line, values }: ParsedRow): Readied<SiteRow> {
  const said = (name: string) => values.get(name) ?? null
  const optional = { railwayLine: said('line'), mileage: said('mileage'), access: said('access') }
  return { row: { line, name: said('name') ?? '', ...optional } }
}

function positionRow(
  { line, values }: ParsedRow,
  { equipment }: Knowledge,
  now: string,
): Readied<PositionRow> {
  const said = (name: string) => values.get(name) ?? null
  const wanted = bare(said('equipment') ?? '')
  const kind = [...equipment.values()].find(one => bare(one.name) === wanted || bare(one.slug) === wanted)
  if (!kind) return { reason: `Equipment: the fault trees know no “${short(said('equipment'))}”.` }
  const facts = Object.fromEntries(
    [...values].flatMap(([name, value]) => (name.startsWith('fact:') ? [[name.slice(5), value]] : [])),
  )
  const foreign = Object.keys(facts).find(name => !kind.facts.some(fact => fact.name === name))
  if (foreign) return { reason: `${foreign}: a ${kind.name} has no such fact.` }
  const [from, to] = [said('inService'), said('outOfService')]
  if (from && from > now) return { reason: 'In service since: that is still to come.' }
  if (from && to && to < from) return { reason: 'It is out of service before it is in service.' }
  const indicated = said('indicated') === null ? null : said('indicated') === 'yes'
  const identity = { plate: said('plate') ?? '', site: said('site') ?? '', name: said('name') ?? '' }
  return {
    row: { line, ...identity, equipment: kind.slug, indicated, inService: from, outOfService: to, facts },
  }
}

function unitRow({ line, values }: ParsedRow, { equipment }: Knowledge, now: string): Readied<UnitRow> {
  const said = (name: string) => values.get(name) ?? null
  const variants = [...equipment.values()].flatMap(one => one.units)
  const ofKind = variants.filter(unit => bare(unit.kind) === bare(said('kind') ?? ''))
  const [first] = ofKind
  if (!first) return { reason: `Kind: the fault trees know no “${short(said('kind'))}”.` }
  const variant = ofKind.find(unit => bare(unit.variant) === bare(said('variant') ?? ''))?.variant
  if (!variant) {
    const names = [...new Set(ofKind.map(unit => unit.variant))].join(', ')
    return { reason: `Variant: “${short(said('variant'))}” is none of ${names}.` }
  }
  const [plate, fittedAt] = [said('plate'), said('fittedAt')]
  if (fittedAt && fittedAt > now) return { reason: 'Fitted on: that is still to come.' }
  if (fittedAt && !plate) return { reason: 'It says when it was fitted and not where.' }
  return { row: { line, kind: first.kind, serial: said('serial') ?? '', variant, plate, fittedAt } }
}

function dayRow({ line, values }: ParsedRow, now: string): Readied<DayRow> {
  const day = values.get('day') ?? ''
  const [lowest, highest] = [Number(values.get('lowest')), Number(values.get('highest'))]
  // Somewhere on the earth it is tomorrow already, and the depot may lie there.
  if (Date.parse(day) > Date.parse(now) + 14 * 3_600_000) return { reason: 'Day: that is still to come.' }
  if (lowest > highest) return { reason: `Its lowest, ${lowest} °C, is above its highest, ${highest} °C.` }
  return { row: { line, day, lowest, highest } }
}

const protections: Record<string, PastFaultRow['protection']> = {
  kept: 'kept',
  'right side': 'kept',
  rsf: 'kept',
  no: 'kept',
  'right side failure': 'kept',
  lost: 'lost',
  'wrong side': 'lost',
  wsf: 'lost',
  yes: 'lost',
  'wrong side failure': 'lost',
  '': 'not known',
  'not known': 'not known',
  unknown: 'not known',
}

function pastFaultRow(
  { line, values }: ParsedRow,
  knowledge: Knowledge,
  meanings: Meanings,
  now: string,
): Readied<PastFaultRow> {
  const said = (name: string) => values.get(name) ?? null
  const symptom = said('symptom') ?? ''
  const tree = knowledge.trees.get(meanings.symptoms.get(bare(symptom)) ?? '')
  if (!tree) return { reason: `Symptom: no fault tree was chosen for “${short(symptom)}”.` }
  const [reportedAt, closedAt] = [said('reportedAt') ?? '', said('closedAt')]
  if (reportedAt > now || (closedAt && closedAt > now)) return { reason: 'A time is still to come.' }
  if (closedAt && closedAt < reportedAt) return { reason: 'It was put right before it was reported.' }
  const protection = protections[bare(said('protection') ?? '')]
  if (!protection)
    return { reason: `Protection: “${short(said('protection'))}” is not kept, lost or not known.` }
  const causeWords = said('cause') ?? ''
  const meaning = meanings.causes.get(bare(causeWords)) ?? notCoded
  const cause = causeHere(knowledge, causeOf(knowledge, meaning), tree.equipment)
  if (cause && cause.equipment !== tree.equipment)
    return { reason: `The cause “${cause.title}” is not one of the equipment of “${tree.title}”.` }
  const report = { symptom, tree: tree.slug, treeEquipment: tree.equipment, causeWords, reportedAt, closedAt }
  return {
    row: {
      line,
      plate: said('plate') ?? '',
      ...report,
      cause: cause && `${cause.equipment}/${cause.slug}`,
      protection,
      nothingFound: meaning === nothingFound,
      reportedBy: said('reportedBy'),
      words: said('words') ?? '',
      reference: said('reference'),
      temperature: said('temperature') === null ? null : Number(said('temperature')),
    },
  }
}

/** The cause of the same title at the tree's own kind of equipment, where that has one. */
function causeHere({ equipment }: Knowledge, cause: Cause | null, here: string): Cause | null {
  if (!cause || cause.equipment === here) return cause
  const causesHere = [...(equipment.get(here)?.causes.values() ?? [])]
  return causesHere.find(one => bare(one.title) === bare(cause.title)) ?? cause
}

function causeOf(knowledge: Knowledge, key: string): Cause | null {
  const [equipment = '', slug = ''] = key.split('/')
  return knowledge.equipment.get(equipment)?.causes.get(slug) ?? null
}

function short(text: string | null): string {
  const said = text ?? ''
  return said.length > 60 ? `${said.slice(0, 60)}…` : said
}
