// npm run bench: measures what the project promises. Each file beside this one exports benches, as a list named
// `benches` or one by one. --json prints the figures as data, --only A,B measures only those named. Ends with 1 if a goal
// is not met or a figure can't be taken, and with 2 if there is no figure of a name.

import { readdirSync } from 'node:fs'
import { join } from 'node:path'
import { parseArgs } from 'node:util'

export interface Bench {
  name: string
  unit: string
  /** The worst figure that will do. */
  goal: Goal
  /** Measures once and gives the figure; whatever it starts it stops. */
  run(): Promise<number> | number
}

export interface Goal {
  at: 'least' | 'most'
  value: number
  /** The figure is a count, which may equal its goal. A measurement on the edge has not met it. */
  counted?: true
}

export interface Figure {
  name: string
  /** NaN when it could not be taken. */
  value: number
  unit: string
  /** "at most 2" */
  goal: string
  met: boolean
  /** The value in as few digits as show on which side of its goal it is. */
  shown: string
}

/** The benches a module exports, in its order. */
export function benchesIn(exported: Record<string, unknown>): Bench[] {
  const values = Object.values(exported).flatMap(value => (Array.isArray(value) ? value : [value]))
  return [...new Set(values)].filter(isBench)
}

/** The benches named in `only`, with commas between; all when it is undefined. Throws a message for an unknown name. */
export function chosen(all: Bench[], only: string | undefined): Bench[] {
  if (only === undefined) return all
  const names = only.split(',').map(name => name.trim())
  const unknown = names.find(name => !all.some(bench => bench.name === name))
  if (unknown !== undefined)
    throw new UnknownName(
      `There is no figure “${unknown}”. There are: ${all.map(({ name }) => name).join(', ')}.`,
    )
  return all.filter(({ name }) => names.includes(name))
}

class UnknownName extends Error {}

export async function measure(bench: Bench): Promise<Figure> {
  return figureOf(bench, await bench.run())
}

function figureOf({ name, unit, goal }: Bench, value: number): Figure {
  const figure = { name, value, unit, goal: `at ${goal.at} ${goal.value}` }
  return { ...figure, met: meets(value, goal), shown: shown(value, goal) }
}

function meets(value: number, { at, value: bound, counted }: Goal): boolean {
  if (value === bound) return counted === true
  return at === 'most' ? value < bound : value > bound
}

function shown(value: number, goal: Goal): string {
  if (Number.isNaN(value)) return 'none'
  if (Number.isInteger(value)) return String(value)
  const rounded = [3, 4, 5, 6].map(digits => Number(value.toPrecision(digits)))
  return String(rounded.find(one => one !== goal.value && meets(one, goal) === meets(value, goal)) ?? value)
}

/** One line a figure, in columns. */
export function table(figures: Figure[]): string {
  const rows = figures.map(({ name, shown, unit, goal, met }) => [
    name,
    shown,
    unit,
    goal,
    met ? 'met' : 'NOT MET',
  ])
  const widths = [0, 1, 2, 3, 4].map(column => Math.max(...rows.map(row => (row[column] ?? '').length)))
  const line = (row: string[]) =>
    row.map((cell, i) => (i === 1 ? cell.padStart(widths[i] ?? 0) : cell.padEnd(widths[i] ?? 0))).join('  ')
  return rows.map(row => line(row).trimEnd()).join('\n')
}

function isBench(value: unknown): value is Bench {
  if (typeof value !== 'object' || value === null) return false
  return (
    'name' in value && 'unit' in value && 'goal' in value && 'run' in value && typeof value.run === 'function'
  )
}

/** Those of every file here, by file name. */
async function findBenches(): Promise<Bench[]> {
  const files = readdirSync(import.meta.dirname).filter(
    file => /^[a-z0-9-]+\.ts$/.test(file) && file !== 'run.ts',
  )
  const modules = files
    .sort()
    .map(file => import(join(import.meta.dirname, file)) as Promise<Record<string, unknown>>)
  return (await Promise.all(modules)).flatMap(benchesIn)
}

/** One after another, as two at once would slow each other. One that fails leaves the others to be measured. */
export async function measureAll(benches: Bench[]): Promise<Figure[]> {
  const figures: Figure[] = []
  for (const bench of benches) {
    try {
      figures.push(await measure(bench))
    } catch (error) {
      console.error(`${bench.name} could not be measured: ${error instanceof Error ? error.message : error}`)
      figures.push(figureOf(bench, Number.NaN))
    }
  }
  return figures
}

async function main(): Promise<void> {
  const { values } = parseArgs({ options: { json: { type: 'boolean' }, only: { type: 'string' } } })
  const figures = await measureAll(chosen(await findBenches(), values.only))
  console.log(values.json ? JSON.stringify({ figures }) : table(figures))
  if (figures.some(({ met }) => !met)) process.exitCode = 1
}

if (process.argv[1] === import.meta.filename) {
  try {
    await main()
  } catch (error) {
    if (!(error instanceof UnknownName)) throw error
    console.error(error.message)
    process.exitCode = 2
  }
}
