import { findCheck } from '../../../knowledge/graph.ts'
import { renderMarkdown } from '../../../knowledge/render.ts'
import type { Check, CheckRef, Equipment, FaultTree, Knowledge } from '../../../knowledge/types.ts'
import { formatRange } from '../../../measurement/readings/format.ts'
import { parseReading } from '../../../measurement/readings/reading.ts'
import { judge } from '../../../measurement/verdicts/verdict.ts'
import { expectedAt } from '../../../walk/expected.ts'
import type { PositionFacts } from '../../../walk/fit.ts'
import { type Walk, walk } from '../../../walk/place.ts'
import type { Finding } from '../../../walk/record.ts'
import type { Deps } from '../../deps.ts'
import { page } from '../../host/answer.ts'
import type { Request } from '../../host/request.ts'
import { shownCaution } from '../../shown-caution.ts'
import { draftTree } from './draft-views.ts'
import { arrivedAt, findingsTable, positionChoices, wayEntries } from './try-shown.ts'

/** So many findings are a walk; more in an address are a mistake. */
const mostFindings = 200

/**
 * Walks a draft without recording anything: what was found so far is in the address, each finding as `tree#check=found`,
 * where found is the label of a row, or a reading behind `!`.
 */
export const show = (deps: Deps) => (req: Request) => {
  const { draft, checked, tree } = draftTree(deps, req)
  const equipment = checked.knowledge.equipment.get(tree.equipment)
  const position = positionOf(deps, tree, req.query.position)
  const answers = listOf(req.query.f).slice(0, mostFindings)
  const at = typeof req.query.at === 'string' ? req.query.at : ''
  const reading = typeof req.query.reading === 'string' ? req.query.reading.trim().slice(0, 60) : ''
  const trial = createTrial(checked.knowledge, tree, equipment, position?.facts ?? {})
  const all = at && reading ? [...answers, `${at}=!${reading}`] : answers
  const { walked, wrong } = trial(all)
  const followed = wrong ? answers : all
  const address = (findings: string[]) => addressOf(draft.id, position?.id, findings)
  return page('author/drafts/try', {
    title: `Trying ${tree.title}`,
    desk: true,
    back: { href: `/drafts/${draft.id}`, text: 'The draft' },
    draft,
    tree,
    wrong,
    reading: wrong ? reading : '',
    said: followed,
    positionId: position?.id ?? '',
    positions: positionChoices(
      deps.storage.positions.search('', 2000).filter(one => one.equipment === tree.equipment),
    ),
    way: wayEntries(walked),
    here: hereOf(walked, equipment, position?.facts ?? {}, (check, found) =>
      address([...followed, `${check.tree}#${check.slug}=${found}`]),
    ),
    undo: followed.length > 0 ? address(followed.slice(0, -1)) : null,
    again: address([]),
    arrived: arrivedAt(walked),
  })
}

/** Turns what the address says into findings and walks them; `wrong` says why the last one could not be read. */
function createTrial(
  knowledge: Knowledge,
  tree: FaultTree,
  kit: Equipment | undefined,
  facts: PositionFacts,
) {
  return (said: string[]): { walked: Walk; wrong: string | null } => {
    const findings: Finding[] = []
    let wrong: string | null = null
    for (const one of said) {
      const made = findingOf(
        knowledge,
        kit,
        facts,
        walk(knowledge, tree.slug, findings),
        one,
        findings.length + 1,
      )
      if (typeof made === 'string') wrong = made
      else findings.push(made)
    }
    return { walked: walk(knowledge, tree.slug, findings), wrong }
  }
}

function findingOf(
  knowledge: Knowledge,
  kit: Equipment | undefined,
  facts: PositionFacts,
  walked: Walk,
  said: string,
  seq: number,
): Finding | string {
  const cut = said.indexOf('=')
  const [tree = '', slug = ''] = said.slice(0, cut).split('#')
  const answer = said.slice(cut + 1)
  const check = findCheck(knowledge, { tree, check: slug })
  if (!check) return 'That check is no longer in the draft.'
  const entry = entryOf(seq, { tree, check: slug })
  if (!answer.startsWith('!')) return { ...entry, kind: 'observation', word: answer, chosenRow: answer }
  const text = answer.slice(1)
  if (check.does.kind !== 'measure') return 'Nothing is measured there.'
  const range = kit ? expectedAt(kit, facts, walked, check).range : null
  const parsed = parseReading(text, check.does.meter, range)
  if (!parsed.ok)
    return 'error' in parsed ? parsed.error : `${parsed.ask.question} Type it so that it can be read one way.`
  const { reading } = parsed
  const verdict = judge(reading, range, null)
  return { ...entry, kind: 'reading', text, reading, range, verdict, chosenRow: null, instrument: null }
}

/** Nothing is recorded, so the entry is of nobody's attendance and at no time that counts. */
function entryOf(seq: number, check: CheckRef) {
  const at = '2000-01-01T00:00:00.000Z'
  const made = { id: `try ${seq}`, attendanceId: 'try', at, by: 'try', byName: 'you', seq }
  return { ...made, replaces: null, reason: null, note: null, check }
}

/** The check in hand, with its rows as links onward; null at an end. */
function hereOf(
  walked: Walk,
  kit: Equipment | undefined,
  facts: PositionFacts,
  hrefOf: (check: Check, found: string) => string,
) {
  const { place } = walked
  if (place.kind !== 'check') return null
  const { check } = place
  const expected = kit ? expectedAt(kit, facts, walked, check) : { range: null, problem: null }
  return {
    check,
    expected: expected.range ? formatRange(expected.range) : null,
    problem: expected.problem,
    cautions: check.cautions.map(shownCaution),
    instruction: renderMarkdown(check.instruction),
    rows: findingsTable(check.rows.map(row => ({ ...row, href: hrefOf(check, row.label) }))),
  }
}

function positionOf(deps: Deps, tree: FaultTree, id: unknown) {
  const all = deps.storage.positions.search('', 2000).filter(one => one.equipment === tree.equipment)
  return all.find(one => one.id === id) ?? null
}

function addressOf(draft: string, position: string | undefined, findings: string[]): string {
  const query = new URLSearchParams(findings.map((finding): [string, string] => ['f', finding]))
  if (position) query.set('position', position)
  return `/drafts/${draft}/try?${query}`
}

function listOf(value: unknown): string[] {
  const list = Array.isArray(value) ? value : [value]
  return list.filter((one): one is string => typeof one === 'string')
}
