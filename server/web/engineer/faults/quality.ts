import { basisWords } from '../../../history/basis.ts'
import { type Defect, dataQuality, defectsOf } from '../../../history/data-quality.ts'
import { findCheck } from '../../../knowledge/graph.ts'
import type { QualityFault } from '../../../storage/storage.ts'
import { isoOf } from '../../../times.ts'
import type { Deps } from '../../deps.ts'
import { page } from '../../host/answer.ts'
import type { Request } from '../../host/request.ts'
import { defectLists, figuresTable, mostListed } from './quality-tables.ts'

const DAY = 86_400_000
const windows = [
  { value: '90', label: '90 days' },
  { value: '365', label: 'A year' },
  { value: '1096', label: 'Three years' },
  { value: 'all', label: 'All of it' },
]
/** A fault without a position cannot be entered here. */
const shown: [Defect, string][] = [
  ['missing cause', 'Closed without a cause'],
  ['free text only', 'Cause in words only'],
  ['late entry', 'Entered more than a day late'],
  ['duplicate', 'Twice within the hour'],
  ['impossible times', 'Impossible times'],
]

/** How good the record is, and which way each gap bends the figures drawn from it. */
export const index = (deps: Deps) => (req: Request) => {
  const asAtMs = deps.clock().getTime()
  const window = windows.find(one => one.value === req.query.window)?.value ?? '365'
  const fromMs = window === 'all' ? 0 : asAtMs - Number(window) * DAY
  // What was reported "later than now" is looked at too: it is one of the things that go wrong.
  const [from, to] = [new Date(fromMs).toISOString(), '9999']
  const seen = lookOver(deps.storage.quality.faults(from, to), asAtMs)
  const readings = deps.storage.quality.readings(from, to)
  const defects = shown.map(([defect, title]) => ({
    defect,
    title,
    ...figure(seen.figures[defect]),
    faults: (seen.lists.get(defect) ?? []).map(fault => ({
      ...fault,
      at: isoOf(fault.reportedMs),
    })),
  }))
  const late = deps.storage.quality
    .listOutOfDate(from, to, mostListed)
    .map(one => ({ ...one, title: checkTitle(deps, one) }))
  const span = { fromMs: window === 'all' ? (seen.firstMs ?? asAtMs) : fromMs, toMs: asAtMs }
  const basis = { ...span, asAtMs, n: seen.n, excluded: [] }
  return page('engineer/faults/quality', {
    title: 'Data quality',
    desk: true,
    window,
    windows,
    basis: basisWords(basis, deps.config.timeZone),
    figures: figuresTable(defects, readings, seen.imported),
    lists: defectLists(defects, readings, late, deps.times),
  })
}

/** One pass: the figures, and the newest few faults of each defect. */
function lookOver(faults: Iterable<QualityFault>, asAtMs: number) {
  const lists = new Map<Defect, QualityFault[]>()
  const imported = { count: 0, withoutTime: 0 }
  const last = new Map<string, number>()
  let n = 0
  let firstMs: number | null = null
  function* noting() {
    for (const fault of faults) {
      n += 1
      firstMs ??= fault.reportedMs
      if (fault.imported) imported.count += 1
      if (!fault.closedKnown) imported.withoutTime += 1
      for (const defect of defectsOf(fault, last, { asAtMs })) note(lists, defect, fault)
      yield fault
    }
  }
  const figures = dataQuality(noting(), { asAtMs })
  return { figures, lists, imported, n, firstMs }
}

function note(lists: Map<Defect, QualityFault[]>, defect: Defect, fault: QualityFault): void {
  const list = lists.get(defect) ?? []
  list.unshift(fault)
  lists.set(defect, list.slice(0, mostListed))
}

/** The count, and which way it bends: the pure function's own words. */
function figure({ value, words, terms }: ReturnType<typeof dataQuality>[Defect]) {
  const [counted, n] = terms
  return {
    share: value,
    words,
    count: Number(counted?.value ?? 0),
    n: Number(n?.value ?? 0),
    bends: counted?.words ?? '',
  }
}

function checkTitle(deps: Deps, { tree, check }: { tree: string; check: string }): string {
  return findCheck(deps.library.current().knowledge, { tree, check })?.title ?? check
}
