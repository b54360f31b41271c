// All that an edition says, each thing once and under a key that stays the same from edition to edition.

import { formatQuantity } from '../../measurement/readings/format.ts'
import { titleOf } from '../examples.ts'
import { refKey, refOf } from '../graph.ts'
import type {
  Cause,
  Check,
  CheckRef,
  Equipment,
  FaultTree,
  Knowledge,
  TestAfterWork,
  UnitVariant,
} from '../types.ts'

export type Touches = 'caution' | 'range' | 'way' | 'words' | 'time' | 'cause' | 'name'

export interface Statement {
  /** The same thing in both editions has the same key. */
  key: string
  /** Key of what it is said of: when that is new or gone as a whole, its parts are not listed one by one. */
  within: string | null
  path: string
  /** "Supply at the power module" */
  where: string
  /** "Expected", "Row “none” leads to" */
  what: string
  touches: Touches
  text: string
  /** `tree#check` it belongs to, or null. */
  check: string | null
}

/** `name` distinguishes statements with the same `what`. */
type Said = [what: string, touches: Touches, text: string | number | boolean | null, name?: string]

export function statementsOf(knowledge: Knowledge): Statement[] {
  return [
    ...[...knowledge.equipment.values()].flatMap(kit => ofEquipment(knowledge, kit)),
    ...[...knowledge.trees.values()].flatMap(tree => ofTree(knowledge, tree)),
  ]
}

interface About {
  key: string
  within: string | null
  path: string
  where: string
  check: string | null
}

/** The thing itself, and each part of it that says anything. */
function about(thing: About, whole: Said, parts: Said[]): Statement[] {
  const [what, touches, text] = whole
  const head = { ...thing, what, touches, text: String(text) }
  const said = parts.flatMap(([part, kind, words, name = '']) =>
    words === null || words === '' || words === false
      ? []
      : [
          {
            ...thing,
            key: `${thing.key} ${part} ${name}`,
            within: thing.key,
            what: part,
            touches: kind,
            text: String(words),
          },
        ],
  )
  return [head, ...said]
}

/** A caution is identified by its words: a changed one counts as one removed and one added. */
function cautionsOf(cautions: string[]): Said[] {
  return cautions.map(text => ['Caution', 'caution', text.replaceAll('**', ''), text])
}

function ofTree(knowledge: Knowledge, tree: FaultTree): Statement[] {
  const thing = {
    key: tree.source.path,
    within: null,
    path: tree.source.path,
    where: tree.title,
    check: null,
  }
  const parts: Said[] = [
    ['Symptom', 'words', tree.symptom],
    ['Begins at', 'way', title(knowledge, tree.start)],
    ['Purpose', 'words', tree.about],
    ['Review by', 'words', tree.reviewBy],
    ['Kind', 'words', tree.kind],
    ...cautionsOf(tree.cautions),
  ]
  const ends = [...tree.ends.values()].flatMap(end =>
    about(
      { ...thing, key: `${tree.slug}#${end.slug}`, within: thing.key, where: end.title },
      ['End', 'way', end.means],
      [['Words', 'words', end.about], ...cautionsOf(end.cautions)],
    ),
  )
  const checks = [...tree.checks.values()].flatMap(check => ofCheck(knowledge, tree, check))
  return [...about(thing, ['Tree', 'way', tree.title], parts), ...checks, ...ends]
}

function ofCheck(knowledge: Knowledge, tree: FaultTree, check: Check): Statement[] {
  const key = refKey(refOf(check))
  const thing = { key, within: tree.source.path, path: tree.source.path, where: check.title, check: key }
  const { does } = check
  const measured: Said[] =
    does.kind === 'measure'
      ? [
          ['Measures', 'range', `${does.quantity} in ${does.unit}`],
          ['Meter set to', 'range', does.meter],
          ['Expected', 'range', does.expectText],
          ['Fault shows', 'range', does.atFault.map(({ text }) => text).join('; ')],
          ['As good as nothing', 'range', does.nothing?.text ?? null],
          ['Source', 'words', does.from],
        ]
      : [['Looks at', 'words', does.what]]
  const rows = check.rows.flatMap((row): Said[] => [
    [`Row “${row.label}” leads to`, 'way', titleOf(knowledge, row.next)],
    [`Row “${row.label}” means`, 'words', row.means],
  ])
  return about(
    thing,
    ['Check', 'way', check.title],
    [
      ...cautionsOf(check.cautions),
      ['Instruction', 'words', check.instruction],
      ...measured,
      [does.clamp ? 'Around' : 'Between', 'range', does.between.join(' and ')],
      ['Takes', 'time', inMinutes(check.minutes)],
      ['Access', 'time', check.access],
      ['Needs', 'words', check.needs.join('; ')],
      ...instrumentSaid(check),
      ['Disturbs', 'caution', check.disturbs],
      ['Hides the range', 'range', check.blind],
      ['Misleads', 'range', check.slip],
      ...rows,
    ],
  )
}

function instrumentSaid({ instrument, insulationTest, endsOff }: Check): Said[] {
  const { method, testVoltage, mostTestVoltage, frequency, electronicsConnected } = instrument
  return [
    ['Method', 'range', method],
    ['Insulation test', 'caution', insulationTest],
    ['Ends off', 'caution', endsOff],
    ['Test voltage', 'range', testVoltage === null ? null : formatQuantity(testVoltage, 'V')],
    ['Test voltage at most', 'range', mostTestVoltage === null ? null : formatQuantity(mostTestVoltage, 'V')],
    [
      'Frequency',
      'range',
      frequency === null ? null : frequency === 0 ? 'DC' : formatQuantity(frequency, 'Hz'),
    ],
    ['Electronics connected', 'caution', electronicsConnected],
  ]
}

function ofEquipment(knowledge: Knowledge, kit: Equipment): Statement[] {
  const path = kit.source.path
  const thing = { key: path, within: null, path, where: kit.name, check: null }
  return [
    ...about(thing, ['Equipment', 'name', kit.name], [['What it is', 'words', kit.about]]),
    ...ofTables(kit).flatMap(({ name, touches, entries }) =>
      entries.flatMap(([where, text]) =>
        about({ ...thing, key: `${path} ${name} ${where}`, within: path, where }, [name, touches, text], []),
      ),
    ),
    ...[...kit.causes.values()].flatMap(cause => ofCause(knowledge, path, cause)),
  ]
}

interface TableSaid {
  name: string
  touches: Touches
  /** What each row is about, and what it says. */
  entries: [where: string, text: string][]
}

function ofTables(kit: Equipment): TableSaid[] {
  return [
    {
      name: 'Limit',
      touches: 'range',
      entries: kit.limits.map(one => [
        one.name,
        `${one.text || 'left blank'} ${one.unit} (${one.from})${roleSaid(one.role)}`,
      ]),
    },
    {
      name: 'Terminal',
      touches: 'name',
      entries: kit.terminals.map(one => [
        one.name,
        `${one.on}, ${one.purpose}, ${one.sealed ? 'sealed' : 'site'}, ${one.live ? `live at ${one.live}` : 'not live'}`,
      ]),
    },
    {
      name: 'Access',
      touches: 'time',
      entries: kit.access.map(one => [one.name, `${one.minutes} min, ${one.needs ?? 'nothing'} first`]),
    },
    {
      name: 'Fact',
      touches: 'name',
      entries: kit.facts.map(one => [
        one.name,
        `${one.unit ?? one.choices.join(' / ')}: ${one.meaning}${roleSaid(one.role)}`,
      ]),
    },
    { name: 'Unit', touches: 'name', entries: kit.units.map(unitSaid) },
    { name: 'Test after work', touches: 'cause', entries: kit.testsAfterWork.map(testSaid) },
  ]
}

function roleSaid(role: string | null): string {
  return role === null ? '' : `; role: ${role}`
}

function testSaid({ test, cause, by }: TestAfterWork): [string, string] {
  return [`${test}, after ${cause ?? 'every repair'}`, `by the ${by}`]
}

function unitSaid({ kind, variant, fits, superseded, settings }: UnitVariant): [string, string] {
  const conditions = fits.map(fit => `${fit.fact} is ${fit.values.join(' or ')}`).join('; ') || 'anywhere'
  const where = superseded ? `${conditions}; superseded` : conditions
  return [`${kind} ${variant}`, `${where}; ${settings.join(', ')}`]
}

function ofCause(knowledge: Knowledge, path: string, cause: Cause): Statement[] {
  const thing = { key: `${path}#${cause.slug}`, within: path, path, where: cause.title, check: null }
  return about(
    thing,
    ['Cause', 'cause', cause.title],
    [
      ...cautionsOf(cause.cautions),
      ['Remedy', 'words', cause.remedy],
      ['Share', 'cause', cause.share],
      ['Takes', 'time', inMinutes(cause.minutes)],
      ['Replaces', 'cause', cause.replace],
      ['Proved by', 'cause', cause.prove.map(ref => title(knowledge, ref)).join(', ')],
    ],
  )
}

function inMinutes(minutes: number | null): string | null {
  return minutes === null ? null : `${minutes}\u00a0min`
}

function title(knowledge: Knowledge, ref: CheckRef): string {
  return titleOf(knowledge, { kind: 'check', ...ref })
}
