import { type Coverage, coverageOf, gapsOf, type LimitCoverage } from '../../../knowledge/coverage.ts'
import { nearMisses } from '../../../knowledge/wording.ts'
import type { Weighed } from '../../../review/apart/worth-of-missing.ts'
import { percentWords } from '../../../words.ts'
import type { Deps } from '../../deps.ts'
import { page } from '../../host/answer.ts'
import { missingHere } from '../../missing-here.ts'
import { columns, type Mark, numbers, row, type Table } from '../../partials.ts'
import { shownNearMisses } from './near-misses.ts'

/** How far the trees in use reach, and what they leave out. */
export const show = (deps: Deps) => () => {
  const { knowledge } = deps.library.current()
  const coverage = coverageOf(knowledge)
  const kitName = (slug: string) => knowledge.equipment.get(slug)?.name ?? slug
  return page('author/trees/coverage', {
    title: 'How far the trees reach',
    desk: true,
    back: { href: '/knowledge', text: 'Fault trees' },
    trees: treesTable(coverage),
    idleChecks: idleChecks(coverage),
    limits: limitsTable(coverage, kitName),
    missing: shownMissing(deps, kitName),
    untried: coverage.trees.filter(tree => tree.untried.length > 0),
    gaps: gapsOf(knowledge, deps.storage.walked.symptoms()),
    nearMisses: shownNearMisses(nearMisses(knowledge)),
    kitName,
    unknownKinds: unknownKinds(deps),
  })
}

/** Kinds of equipment that stand on the railway and in no file. */
function unknownKinds(deps: Deps): string[] {
  const kinds = new Set(deps.storage.positions.search('', 2000).map(position => position.equipment))
  return [...kinds].filter(kind => !deps.library.current().knowledge.equipment.has(kind)).sort()
}

export function treesTable({ trees }: Coverage): Table {
  return {
    caption: 'Trees',
    columns: columns(
      'Tree',
      numbers('Checks'),
      numbers('Causes'),
      numbers('Longest path'),
      numbers('Expected minutes'),
      numbers('Rows no example takes'),
    ),
    rows: trees.map(tree =>
      row(
        { text: tree.title, href: `/knowledge/${tree.tree}` },
        tree.checks,
        tree.causes,
        tree.longestPath,
        tree.expectedMinutes?.toFixed(0) ?? '–',
        tree.untried.length,
      ),
    ),
  }
}

/** What is missing and costs time, the dearest first; `table` is null while it is worked out. */
function shownMissing(deps: Deps, kitName: (slug: string) => string) {
  const { list, faults } = missingHere(deps)
  return { faults, table: list && missingTable(list, kitName) }
}

export function missingTable(list: readonly Weighed[], kitName: (slug: string) => string): Table {
  const costly = list.filter(({ minutes }) => minutes >= LEAST_MINUTES)
  return {
    caption: 'What is missing, by what it costs',
    captionHidden: true,
    columns: columns('Missing', 'Of', numbers('Checks'), numbers('Minutes a fault')),
    rows: costly.map(one =>
      row(
        { text: one.name, note: missingNotes[one.kind](one) },
        one.equipment === null ? 'any' : kitName(one.equipment),
        one.checks,
        one.minutes.toFixed(1),
      ),
    ),
    empty: 'Nothing is missing that costs a tenth of a minute a fault.',
  }
}

/** Less is not worth a line. */
const LEAST_MINUTES = 0.1

const missingNotes: Record<Weighed['kind'], (one: Weighed) => string> = {
  limit: () => 'limit left blank',
  instrument: () => 'no instrument in use measures it',
  fact: ({ part }) => `fact not on record at ${percentWords(part)} of the positions`,
}

/** Limits without a value of their owner's. */
export function limitsTable({ limits }: Coverage, kitName: (slug: string) => string): Table {
  return {
    caption: `${limits.length} limits`,
    columns: columns('Limit', 'Equipment', 'State'),
    rows: limits.map(one =>
      row(
        one.limit,
        { text: kitName(one.equipment), note: `${one.source.path}:${one.source.line}` },
        { mark: limitMarks[one.state] },
      ),
    ),
    empty: 'All limits have a value of their owner’s.',
  }
}

const limitMarks: Record<LimitCoverage['state'], Mark> = {
  blank: { kind: 'no-verdict', word: 'left blank' },
  demo: { kind: 'close', word: 'demo value' },
}

/** Checks whose rows all lead to one place, with the title of their tree. */
export function idleChecks({ trees }: Coverage) {
  return trees.flatMap(tree => tree.separatesNothing.map(({ check }) => ({ check, tree: tree.title })))
}
