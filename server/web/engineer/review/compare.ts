// Two positions side by side: facts, faults, readings and units, and the line of time of each.

import { explainOffender } from '../../../history/positions/offenders.ts'
import { formatQuantity } from '../../../measurement/readings/format.ts'
import { readingsBackMs } from '../../../review/drift/drifts.ts'
import { timelineOf } from '../../../review/timeline.ts'
import type { Position } from '../../../storage/storage.ts'
import { countWords } from '../../../words.ts'
import type { Deps } from '../../deps.ts'
import { page } from '../../host/answer.ts'
import type { Request } from '../../host/request.ts'
import { columns, row, type Table } from '../../partials.ts'
import { byPlate } from './by-plate.ts'
import { frame } from './pages.ts'

/** `?a=` and `?b=`: the plates. With none or one of them, what is missing is asked for. */
export const show = (deps: Deps) => (req: Request) => {
  const { common } = frame(deps, req)
  const [a, b] = [asked(deps, req.query.a), asked(deps, req.query.b)]
  const both = a.position !== null && b.position !== null ? [a.position, b.position] : []
  const sides = both.map((position, i) => sideOf(deps, req, position, `timeline-${i}`))
  return page('engineer/review/compare', {
    ...common,
    title: 'Compare two positions',
    asked: { ...common.asked, a: a.text, b: b.text },
    errors: { a: a.error, b: b.error },
    table: sides.length === 2 ? sideBySide(sides) : null,
    timelines: sides.map(({ position, timeline }) => ({ caption: placeOf(position), chart: timeline })),
  })
}

function asked(deps: Deps, value: unknown) {
  const text = typeof value === 'string' ? value.trim().slice(0, 60) : ''
  const position = text === '' ? null : byPlate(deps, text)
  return { text, position, error: text !== '' && position === null ? 'No position has this plate.' : null }
}

type Side = ReturnType<typeof sideOf>

function sideOf(deps: Deps, req: Request, position: Position, id: string) {
  const { core, names, common } = frame(deps, req)
  const nowMs = deps.clock().getTime()
  const window = { ...core.past.window, toMs: nowMs }
  const faults = deps.storage.history.ofPosition.faults(position.id, window)
  const series = deps.storage.history.readings.ofPosition(position.id, nowMs - readingsBackMs)
  const compared = core.offenders.byPosition.get(position.id)
  const last = faults.at(-1)
  const values = new Map<string, string>([
    ['Kind', names.kind(position.equipment)],
    ['Faults in the window', countWords(faults.length, 'fault')],
    [
      'Against its kind',
      compared === undefined ? 'not in service in the window' : `${explainOffender(compared).words}.`,
    ],
    ['Last fault', last === undefined ? 'none' : `${common.day(last.atMs)}: ${last.symptom}`],
    ['Wrong-side failures', String(faults.filter(one => one.protection === 'lost').length)],
    ...Object.entries(position.facts).map(([fact, value]) => [`Fact: ${fact}`, value] as const),
    ...position.fitted.map(
      unit =>
        [
          `Unit: ${unit.kind}`,
          `${unit.serial}, ${unit.variant}, since ${deps.times.day(unit.fittedAt)}`,
        ] as const,
    ),
    ...series.flatMap(one => {
      const reading = one.readings.findLast(({ value }) => value !== null)
      if (reading === undefined || reading.value === null) return []
      const words = `${formatQuantity(reading.value, one.unit)}, ${common.day(reading.atMs)} (n = ${one.readings.length})`
      return [[`Reading: ${names.check(one)}`, words] as const]
    }),
  ])
  const timeline = timelineOf(deps, names, position.id, window, faults, series, id)
  return { position, values, timeline }
}

function placeOf({ siteName, name }: Position): string {
  return `${siteName}, ${name}`
}

function sideBySide(sides: Side[]): Table {
  const keys = [...new Set(sides.flatMap(({ values }) => [...values.keys()]))]
  return {
    caption: 'Side by side',
    captionHidden: true,
    columns: columns('', ...sides.map(({ position }) => placeOf(position))),
    rows: keys.map(key => row(key, ...sides.map(({ values }) => values.get(key) ?? '–'))),
  }
}
