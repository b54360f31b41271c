import type { Change } from '../../../knowledge/editions/compare.ts'
import { columns, type Mark, row, type Table } from '../../partials.ts'
import type { Changes } from './changes.ts'

/** What may be touched, the gravest first. */
const touches = ['caution', 'range', 'way', 'cause', 'time', 'name', 'words'] as const
const mostFaults = 50
const mostFigures = 20

/** What differs between two editions, file by file, and what it touches. */
export function shownChanges({ changes, running, figures }: Changes) {
  return {
    count: changes.length,
    kinds: touches
      .map(kind => ({ kind, n: changes.filter(one => one.touches === kind).length }))
      .filter(({ n }) => n > 0)
      .map(({ kind, n }) => `${kind} ${n}`)
      .join(', '),
    files: [...new Set(changes.map(one => one.path))].map(path => ({
      path,
      table: changesTable(
        path,
        changes.filter(one => one.path === path),
      ),
    })),
    cautions: cautionsMark(changes),
    running: running.length,
    faults: faultsTable(running),
    figures: figures.length === 0 ? null : { count: figures.length, words: figureWords(figures) },
  }
}

function changesTable(path: string, changes: Change[]): Table {
  return {
    caption: `Changes in ${path}`,
    captionHidden: true,
    columns: columns('Where', 'What', 'How', 'Before', 'After'),
    rows: changes.map(one =>
      row(
        one.where,
        one.what,
        { mark: { kind: markOf(one), word: one.kind } },
        one.before === null ? '–' : { text: one.before, struck: one.kind === 'removed' },
        one.after ?? '–',
      ),
    ),
  }
}

function markOf(change: Change): string {
  if (change.touches === 'caution') return 'caution'
  switch (change.kind) {
    case 'removed':
      return 'struck'
    case 'added':
      return 'open'
    case 'changed':
      return 'done'
  }
}

/** Null when no caution is touched. */
function cautionsMark(changes: Change[]): Mark | null {
  const cautions = changes.filter(one => one.touches === 'caution')
  if (cautions.length === 0) return null
  const places = cautions.map(one => `${one.where} (${one.kind})`).join(', ')
  return { kind: 'caution', word: `${cautions.length} to do with cautions: ${places}` }
}

function faultsTable(running: Changes['running']): Table {
  return {
    caption: 'Open faults it touches',
    columns: columns('Fault', 'Symptom'),
    rows: running
      .slice(0, mostFaults)
      .map(one => row({ text: one.where, href: `/faults/${one.id}` }, one.symptom)),
  }
}

function figureWords(figures: Changes['figures']): string {
  return figures
    .slice(0, mostFigures)
    .map(({ where, readings, why }) => `${where}, ${readings} (${why})`)
    .join('; ')
}
