// The demo's weather: how cold and warm each day was, the same on every machine and for every seed of the railway.

import { createRandom } from '../../statistics/random.ts'
import type { Storage } from '../../storage/storage.ts'
import { DAY, YEARS } from '../story/years.ts'
import { engineers } from './people.ts'

export interface DemoDay {
  /** °C, to a tenth. */
  lowest: number
  highest: number
}

/** Days go by in spells of about a week, warmer or colder than the season; `day` counts from 1970. */
export function demoDay(day: number): DemoDay {
  const random = createRandom(`weather ${day}`)
  const season = 10 - 7 * Math.cos((2 * Math.PI * (day - 19_740)) / 365.25) // coldest in the middle of January
  const [spell, into] = [Math.floor(day / SPELL), (day % SPELL) / SPELL]
  const mean = season + swing(spell) * (1 - into) + swing(spell + 1) * into + random.between(-1.5, 1.5)
  const half = random.between(2.5, 5.5)
  return { lowest: tenth(mean - half), highest: tenth(mean + half) }
}

/** °C at a moment: lowest at five in the morning, highest twelve hours later. */
export function temperatureAt(at: number): number {
  const { lowest, highest } = demoDay(Math.floor(at / DAY))
  const hours = (at % DAY) / 3_600_000
  return (lowest + highest) / 2 - ((highest - lowest) / 2) * Math.cos((2 * Math.PI * (hours - 5)) / 24)
}

/** Whole degrees as somebody reads them off, or null where nobody looked. */
export function notedTemperature(at: number): number | null {
  return createRandom(`thermometer ${at}`).chance(0.6) ? Math.round(temperatureAt(at)) : null
}

/** Three years of days as if brought in from a file, up to yesterday. */
export function writeWeather(storage: Storage, { editionId, now }: { editionId: string; now: Date }): void {
  const last = Math.floor(now.getTime() / DAY) - 1
  const days = Math.ceil(YEARS * 365.25)
  const rows = Array.from({ length: days }, (_, i) => {
    const day = last - days + 1 + i
    return { line: i + 2, day: new Date(day * DAY).toISOString().slice(0, 10), ...demoDay(day) }
  })
  const columns = { columns: { day: 'Date', lowest: 'Min', highest: 'Max' } }
  const loading = {
    id: 'import-weather',
    by: engineers[0]?.id ?? '',
    editionId,
    fileName: 'demo-weather.csv',
    sha256: 'made up for the demo',
    columns,
    leftOut: 0,
  }
  storage.imports.load(loading, { subject: 'temperatures', rows })
}

const SPELL = 7

function swing(spell: number): number {
  return createRandom(`spell ${spell}`).between(-5, 5)
}

function tenth(celsius: number): number {
  return Math.round(celsius * 10) / 10
}
