// The permanent set of hostile inputs, tried against the program in a process of its own.

import { type ChildProcess, fork } from 'node:child_process'
import { once } from 'node:events'
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { workbook } from '../../exchange/workbook.ts'
import { seeded } from '../../knowledge/generated.ts'
import { jpeg } from '../../support/pictures.ts'
import { hostilePictures } from './pictures.ts'
import { formEnd, head, part, type Sent, send } from './raw.ts'
import { hostileForms, hostileHttp, sentFile, sentParts } from './requests.ts'
import type { Target } from './serve.ts'
import { hostileCsv, hostileWorkbooks } from './tables.ts'

export interface Tried {
  tried: number
  /** One line each: what ended the program, held it up or was answered with a fault of ours. */
  bad: string[]
}

/** Longest that one input may keep everybody else waiting, ms of processor time. */
const longestMs = 1000
const atOnce = 3

/** Tries `count` inputs: the permanent ones first, then good and hostile files spoilt at places drawn from a seed. */
export async function tryHostile(count: number): Promise<Tried> {
  const dir = mkdtempSync(path.join(tmpdir(), 'fourfoot-hostile-'))
  const child = fork(path.join(import.meta.dirname, 'serve.ts'), [dir], { execArgv: [] })
  let ended = false
  child.once('exit', () => {
    ended = true
  })
  try {
    const target = (await once(child, 'message'))[0] as Target
    const inputs = inputsFor(target, count)
    const bad: string[] = []
    const work = async () => {
      for (let input = inputs.shift(); input && !ended; input = inputs.shift())
        bad.push(...(await tryOne(target, input)))
    }
    const tried = inputs.length
    await Promise.all(Array.from({ length: atOnce }, work))
    if (ended) return { tried: tried - inputs.length, bad: [...bad, 'the program ended'] }
    const busy = await longestBusy(child)
    if (busy > longestMs)
      bad.push(`the program was busy for ${Math.round(busy)} ms without a turn for others`)
    return { tried, bad }
  } finally {
    child.kill('SIGKILL')
    rmSync(dir, { recursive: true })
  }
}

async function longestBusy(child: ChildProcess): Promise<number> {
  child.send('how long?')
  return Number((await once(child, 'message'))[0])
}

/** And when a file was taken, the pages that show it. */
async function tryOne(target: Target, [name, sent]: [string, Sent]): Promise<string[]> {
  const bad: string[] = []
  const ask = async (what: string, asked: Sent) => {
    const answer = await send(target.address, asked, 60_000)
    if (answer.status === 500) bad.push(`${what}: answered with 500`)
    if (answer.hung) bad.push(`${what}: not answered within a minute`)
    return answer
  }
  const { text } = await ask(name, sent)
  const [, file] = /^location: (\/import\/files\/[\w-]+)/im.exec(text) ?? []
  if (!file) return bad
  for (const page of ['', '/words', '/check']) {
    const asked = { parts: [head('GET', file + page, { Cookie: target.isla })] }
    await ask(`${name}, then ${page || 'columns'}`, asked)
  }
  return bad
}

function inputsFor(target: Target, count: number): [string, Sent][] {
  const files = [...hostileCsv(), ...hostileWorkbooks()]
  const all: [string, Sent][] = [
    ...hostileHttp(target),
    ...hostilePictures().map(([name, file]): [string, Sent] => [name, sentFile(target, 'photos', file)]),
    ...files.map(([name, file]): [string, Sent] => [name, sentFile(target, 'import', file)]),
    ...hostileForms(target),
  ]
  for (let n = all.length; n < count; n += 1) all.push(spoilt(target, n))
  return all.slice(0, Math.max(count, all.length))
}

const csv = Buffer.from('Plate,Date reported,Fault,Cause\nWH-3-U,2025-01-02,Telltale dark,"rat, nest"\n')

/** A good file with some bytes changed, or its form cut off. */
function spoilt(target: Target, seed: number): [string, Sent] {
  const random = seeded(seed)
  const whole =
    [
      csv,
      workbook([
        ['Plate', 'Fault'],
        ['WH-3-U', 'dark'],
      ]),
      jpeg,
    ][seed % 3] ?? csv
  const to = seed % 3 === 2 ? 'photos' : 'import'
  if (seed % 5 === 0) {
    const body = Buffer.concat([part('subject', 'sites'), part('file', whole, 'a'), formEnd])
    const cut = body.subarray(0, Math.floor(random() * body.length))
    return [`a form cut at ${cut.length} (${seed})`, sentParts(target, to, cut)]
  }
  const bytes = Buffer.from(whole)
  for (let n = 0; n < 1 + random() * 8; n += 1) bytes[Math.floor(random() * bytes.length)] = random() * 256
  return [`a file spoilt (${seed})`, sentFile(target, to, bytes)]
}
