// Faults against how cold and how warm the days were, where a
// depot has brought that in; else only what was noted.

import type { Chart } from '../../charts/chart.ts'
import { countBars } from '../../charts/count-bars.ts'
import { groupBy } from '../../history/group-by.ts'
import { type Day, daysOf, lastStartedBy, serviceOfDays } from '../../history/time/calendar.ts'
import { type Slice, sliceByBand, slicesDiffer } from '../../history/time/weather.ts'
import { readTemperature } from '../../measurement/readings/air-temperature.ts'
import type { DayTemperatures } from '../../storage/history/history-weather.ts'
import type { History } from '../../storage/storage.ts'
import { capitalize } from '../../words.ts'
import type { Past } from '../past.ts'
import { type FamilyDays, standingOut } from './temperature-families.ts'

const lowestEdges = [-5, 0, 5, 10, 15]
const highestEdges = [5, 10, 15, 20, 25, 30]

/** `bands` is null where no day's temperature is on record in the window. */
export function temperatureIn(history: History, past: Past, timeZone: string) {
  const noted = notedIn(history, past)
  const days = daysOf(past.window, timeZone)
  const byDay = new Map(history.dailyTemperatures().map(one => [one.day, one]))
  // A day of which not all faults are known says nothing of them, whatever its temperature was.
  const whole = (day: Day) => past.gaps.every(gap => gap.toMs <= day.fromMs || gap.fromMs >= day.toMs)
  const felt = days.map(day => (whole(day) ? (byDay.get(day.day) ?? null) : null))
  if (!felt.some(one => one !== null)) return { noted, bands: null, families: null, covered: null }
  const byKind = serviceByKind(past, days)
  const service = days.map((_, i) => [...byKind.values()].reduce((sum, own) => sum + (own[i] ?? 0), 0))
  const byFamily = faultsByFamily(past, days)
  const faults = days.map((_, i) =>
    [...byFamily.values()].reduce((sum, own) => sum + (own.counts[i] ?? 0), 0),
  )
  const rows = felt.map((one, i) => ({ felt: one, faults: faults[i] ?? 0, serviceDays: service[i] ?? 0 }))
  return {
    noted,
    bands: [
      bandsOf(rows, 'lowest', lowestEdges, 'the day’s lowest'),
      bandsOf(rows, 'highest', highestEdges, 'the day’s highest'),
    ],
    families: standingOut(
      [...byFamily].map(([family, own]) => ({
        family,
        counts: own.counts,
        service: byKind.get(own.kind) ?? new Float64Array(days.length),
      })),
      felt,
    ),
    covered: { days: felt.filter(one => one !== null).length, of: days.length },
  }
}

/** Counts of what was noted, without anything to hold them against. */
function notedIn(history: History, past: Past) {
  const words = history.conditions('temperature', past.known)
  const figures = words.map(({ value, faults }) => ({
    figure: readTemperature(value),
    faults,
    serviceDays: 0,
  }))
  const slices = sliceByBand(
    figures.filter(one => one.figure !== null),
    lowestEdges,
    '°C',
  ).slice(0, -1)
  const chart = countBars({
    id: 'noted-temperature',
    title: 'Temperature noted at faults',
    barLabel: 'Temperature',
    countLabel: 'Faults',
    bars: slices.map(one => ({ ...bar(one), expected: null })),
  })
  return { faults: slices.reduce((sum, one) => sum + one.faults, 0), chart }
}

interface Row {
  felt: DayTemperatures | null
  faults: number
  serviceDays: number
}

function bandsOf(rows: readonly Row[], which: 'lowest' | 'highest', edges: number[], name: string) {
  const days = rows.flatMap(({ felt, ...own }) => (felt === null ? [] : [{ figure: felt[which], ...own }]))
  const slices = sliceByBand(days, edges, '°C').filter(one => one.serviceDays > 0)
  const faults = slices.reduce((sum, one) => sum + one.faults, 0)
  const all = slices.reduce((sum, one) => sum + one.serviceDays, 0)
  const chart: Chart = countBars({
    id: `by-${which}`,
    title: `Faults by ${name} temperature, against the days in service`,
    barLabel: `${capitalize(name)}, °C`,
    countLabel: 'Faults',
    bars: slices.map(one => ({ ...bar(one), expected: all === 0 ? null : (faults * one.serviceDays) / all })),
  })
  return { name, differ: slicesDiffer(slices), chart, n: faults }
}

/** The axis says °C, and bars are narrow: "below -5", "-5 to 0", "15 and above". */
function bar({ label, faults }: Slice) {
  return { label: label.replace(' °C', '').replace(' and above', ' up'), count: faults }
}

function serviceByKind(past: Past, days: readonly Day[]): Map<string, Float64Array> {
  const kinds = groupBy(past.positions, position => position.equipment)
  return new Map([...kinds].map(([kind, own]) => [kind, serviceOfDays(own, days)]))
}

function faultsByFamily(past: Past, days: readonly Day[]) {
  const all = new Map<string, { kind: string; counts: FamilyDays['counts'] }>()
  for (const { position, family, times, first } of past.families) {
    const entry = all.get(family) ?? { kind: position.equipment, counts: new Float64Array(days.length) }
    all.set(family, entry)
    for (let i = first; i < times.length; i++) {
      const day = lastStartedBy(days, times[i] ?? 0)
      entry.counts[day] = (entry.counts[day] ?? 0) + 1
    }
  }
  return all
}
