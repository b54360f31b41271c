// npm run bench: measures what the project promises. Each file beside this one exports benches, as a list named
// `benches` or one by one. --json prints the figures as data, --only NAME runs one. Ends with 1 if a goal is missed.

import { readdirSync } from 'node:fs'
import { join } from 'node:path'
import { parseArgs } from 'node:util'

export interface Bench {
  name: string
  unit: string
  /** The worst figure that will do. */
  goal: { at: 'least' | 'most'; value: number }
  /** Measures once and gives the figure; whatever it starts it stops. */
  run(): Promise<number> | number
}

export interface Figure {
  name: string
  value: number
  unit: string
  /** "at most 2" */
  goal: string
  ok: boolean
}

/** The benches a module exports, in its order. */
export function benchesIn(exported: Record<string, unknown>): Bench[] {
  const values = Object.values(exported).flatMap(value => (Array.isArray(value) ? value : [value]))
  return [...new Set(values)].filter(isBench)
}

export async function measure({ name, unit, goal, run }: Bench): Promise<Figure> {
  const value = await run()
  const ok = goal.at === 'most' ? value <= goal.value : value >= goal.value
  return { name, value, unit, goal: `at ${goal.at} ${goal.value}`, ok }
}

/** One line a figure, in columns. */
export function table(figures: Figure[]): string {
  const rows = figures.map(({ name, value, unit, goal, ok }) => [
    name,
    short(value),
    unit,
    goal,
    ok ? 'ok' : 'MISSED',
  ])
  const widths = [0, 1, 2, 3, 4].map(column => Math.max(...rows.map(row => (row[column] ?? '').length)))
  const line = (row: string[]) =>
    row.map((cell, i) => (i === 1 ? cell.padStart(widths[i] ?? 0) : cell.padEnd(widths[i] ?? 0))).join('  ')
  return rows.map(row => line(row).trimEnd()).join('\n')
}

function short(value: number): string {
  return Number.isInteger(value) ? String(value) : String(Number(value.toPrecision(3)))
}

function isBench(value: unknown): value is Bench {
  if (typeof value !== 'object' || value === null) return false
  return (
    'name' in value && 'unit' in value && 'goal' in value && 'run' in value && typeof value.run === 'function'
  )
}

async function findBenches(): Promise<Bench[]> {
  const files = readdirSync(import.meta.dirname).filter(
    file => /^[a-z0-9-]+\.ts$/.test(file) && file !== 'run.ts',
  )
  const modules = files
    .sort()
    .map(file => import(join(import.meta.dirname, file)) as Promise<Record<string, unknown>>)
  return (await Promise.all(modules)).flatMap(benchesIn)
}

async function main(): Promise<void> {
  const { values } = parseArgs({ options: { json: { type: 'boolean' }, only: { type: 'string' } } })
  const all = await findBenches()
  const wanted = values.only === undefined ? all : all.filter(({ name }) => name === values.only)
  if (wanted.length === 0) {
    console.error(`There is no bench “${values.only}”. There are: ${all.map(({ name }) => name).join(', ')}.`)
    process.exitCode = 1
    return
  }
  const figures: Figure[] = []
  // One after another: a figure taken beside another is no figure.
  for (const bench of wanted) figures.push(await measure(bench))
  console.log(values.json ? JSON.stringify({ figures }) : table(figures))
  if (figures.some(({ ok }) => !ok)) process.exitCode = 1
}

if (process.argv[1] === import.meta.filename) await main()
