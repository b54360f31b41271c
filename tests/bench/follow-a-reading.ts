// Follows one recorded reading through the code: which files of server/ have a function that runs between the POST and
// its answer. Printed by room, with what of it also runs for other forms of a technician's:
// node tests/bench/follow-a-reading.ts, with --json as lists.

import { randomUUID } from 'node:crypto'
import { type Profiler, Session } from 'node:inspector/promises'
import path from 'node:path'
import { fileURLToPath } from 'node:url'
import { makeSite, type Site } from '../support/site.ts'
import type { Visitor } from '../support/visitor.ts'
import { attend, find, report } from '../support/walking.ts'

const server = path.join(import.meta.dirname, '../../server')

/** Files, from server/, in the order of their names. */
export interface Followed {
  reading: string[]
  /** Of a form that records, but nothing about a fault: a technician has read an author's answer. */
  anyForm: string[]
  /** Of a form that records something else at the same fault: an item taken off. */
  formAtFault: string[]
}

/** Each journey is made once before it is followed, so that what only the first does is left out. */
export async function followReading(): Promise<Followed> {
  const site = await makeSite()
  const wren = await site.as('wren')
  const session = new Session()
  session.connect()
  await session.post('Profiler.enable')
  await session.post('Profiler.startPreciseCoverage', { callCount: true, detailed: false })

  async function filesOf(send: () => Promise<{ status: number }>): Promise<string[]> {
    await session.post('Profiler.takePreciseCoverage')
    const { status } = await send()
    if (status !== 303) throw new Error(`The form was not recorded: ${status}.`)
    return filesRun((await session.post('Profiler.takePreciseCoverage')).result)
  }

  async function journey(): Promise<Followed> {
    const fault = await report(wren)
    await attend(wren, fault)
    return {
      anyForm: await filesOf(() => readAnswer(wren, answerTo(site, fault))),
      formAtFault: await filesOf(() => disturb(wren, fault)),
      reading: await filesOf(() => find(wren, fault, 'supply', '104')),
    }
  }

  await journey()
  const followed = await journey()
  session.disconnect()
  return followed
}

/** What an author answered to a technician's report of a check; gives the answer's id. */
function answerTo({ deps: { storage } }: Site, faultId: string): string {
  const reportId = randomUUID()
  const { editionId } = storage.faults.get(faultId).fault
  const check = { tree: 'dead', check: 'supply' }
  const kind = 'wrong or unclear'
  storage.reports.add({
    id: reportId,
    faultId,
    editionId,
    ...check,
    by: 'wren',
    kind,
    words: 'Which terminal?',
  })
  const id = randomUUID()
  storage.reports.answer({ id, reportId, by: 'odo', words: 'Terminal 3.' })
  return id
}

function readAnswer(visitor: Visitor, answer: string) {
  return visitor.post(`/report-answers/${answer}/receipt`, { id: randomUUID() })
}

function disturb(visitor: Visitor, fault: string) {
  return visitor.post(`/faults/${fault}/disturbances`, { id: randomUUID(), item: 'Strap across the fuse' })
}

/** A module's first function is the module itself, which starts at 0 and runs when it is loaded. */
function filesRun(scripts: Profiler.ScriptCoverage[]): string[] {
  return scripts
    .filter(({ functions }) =>
      functions.some(({ ranges: [whole] }) => whole && whole.startOffset > 0 && whole.count > 0),
    )
    .map(({ url }) => (url.startsWith('file:') ? path.relative(server, fileURLToPath(url)) : '..'))
    .filter(file => !file.startsWith('..'))
    .sort()
}

/** Of `files`, those that are not among `others`. */
export function beyond(files: string[], others: string[]): string[] {
  return files.filter(file => !others.includes(file))
}

/** The folders at the top of server/ that hold the files; a file that lies there itself is in none. */
export function roomsOf(files: string[]): string[] {
  return [...new Set(files.filter(file => file.includes('/')).map(file => file.split('/')[0] ?? ''))].sort()
}

function print(title: string, files: string[]): void {
  const rooms = roomsOf(files)
  console.log(`${title}: ${files.length} files in ${rooms.length} rooms (${rooms.join(', ')})`)
  for (const [folder, within] of Map.groupBy(files, file => path.dirname(file)))
    console.log(`  ${folder}: ${within.map(file => path.basename(file)).join(', ')}`)
}

if (process.argv[1] === import.meta.filename) {
  const followed = await followReading()
  if (process.argv.includes('--json')) console.log(JSON.stringify(followed))
  else {
    print('A reading', followed.reading)
    print('Beyond any form that records', beyond(followed.reading, followed.anyForm))
    print('Beyond any form that records at a fault', beyond(followed.reading, followed.formAtFault))
  }
}
