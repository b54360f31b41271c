// Follows one recorded reading through the code: which files of server/ have a function that runs for it, from the
// request to the answer, beyond what ran at the start. node tests/bench/follow-a-reading.ts prints them by room.

import { Session } from 'node:inspector/promises'
import path from 'node:path'
import { fileURLToPath } from 'node:url'
import { makeSite } from '../support/site.ts'
import { attend, find, report } from '../support/walking.ts'

const server = path.join(import.meta.dirname, '../../server')

/** Files, from server/, in the order of their names. Each kind of journey has been made once before it is followed. */
export async function filesOfAReading(): Promise<string[]> {
  const site = await makeSite()
  const wren = await site.as('wren')
  const session = new Session()
  session.connect()
  await session.post('Profiler.enable')
  await session.post('Profiler.startPreciseCoverage', { callCount: true, detailed: false })
  const journey = async () => {
    const fault = await report(wren)
    await attend(wren, fault)
    await session.post('Profiler.takePreciseCoverage')
    const recorded = await find(wren, fault, 'supply', '104')
    if (recorded.status !== 303) throw new Error(`The reading was not recorded: ${recorded.status}.`)
    return (await session.post('Profiler.takePreciseCoverage')).result
  }
  await journey()
  const ran = await journey()
  session.disconnect()
  return ran
    .filter(({ functions }) =>
      functions.some(({ functionName, ranges }) => functionName !== '' && (ranges[0]?.count ?? 0) > 0),
    )
    .map(({ url }) => (url.startsWith('file:') ? path.relative(server, fileURLToPath(url)) : '..'))
    .filter(file => !file.startsWith('..'))
    .sort()
}

if (process.argv[1] === import.meta.filename) {
  const files = await filesOfAReading()
  const rooms = Map.groupBy(files, file => path.dirname(file))
  for (const [room, within] of rooms)
    console.log(`${room}: ${within.map(file => path.basename(file)).join(', ')}`)
  console.log(`${files.length} files in ${rooms.size} rooms`)
}
