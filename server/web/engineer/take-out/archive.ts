// Everything in one archive: each table as CSV and as JSON, what their columns hold, and the pictures.

import { Zip, ZipDeflate, ZipPassThrough } from 'fflate'
import { csvRecord } from '../../../exchange/write-csv.ts'
import type { Deps } from '../../deps.ts'
import { streamed } from '../../host/answer.ts'
import { csvParts, jsonParts, takenOutTables } from './export.ts'

/** Written out as it is read: each table stands as it was when its turn came. */
export const show = (deps: Deps) => () => {
  const day = deps.times.local(deps.clock().toISOString()).slice(0, 10)
  return streamed(`fourfoot-${day}.zip`, 'application/zip', archiveOf(deps))
}

async function* archiveOf(deps: Deps): AsyncGenerator<Uint8Array> {
  const zipped = createZipped(deps.clock())
  const tables = takenOutTables(deps)
  yield* zipped.file('dictionary.csv', dictionary(tables))
  for (const table of tables) {
    yield* zipped.file(`tables/${table.name}.csv`, csvParts(deps, table, false))
    yield* zipped.file(`tables/${table.name}.json`, jsonParts(deps, table))
  }
  const missing: string[] = []
  for (const { sha256, type } of deps.storage.photos.files()) {
    const bytes = deps.host.pictureBytes(sha256)
    if (bytes) yield* zipped.asItIs(`pictures/${sha256}.${type === 'image/png' ? 'png' : 'jpg'}`, bytes)
    else missing.push(`${sha256}\r\n`)
    await new Promise<void>(resolve => deps.host.whenIdle(resolve))
  }
  if (missing.length > 0) yield* zipped.file('pictures/missing.txt', missing)
  yield* zipped.end()
}

/** What each column of each table holds. */
function* dictionary(tables: ReturnType<typeof takenOutTables>): Generator<string> {
  yield csvRecord(['Table', 'Holds', 'Column', 'Kind', 'What it is'])
  for (const { name, about, columns } of tables)
    for (const column of columns) yield csvRecord([name, about, column.name, column.kind, column.about])
}

/** A zip archive (PKWARE APPNOTE 6.3), a piece at a time. */
function createZipped(mtime: Date) {
  const made: Uint8Array[] = []
  const zip = new Zip((error, piece) => {
    if (error) throw error
    made.push(piece)
  })
  const taken = () => made.splice(0)
  const encoder = new TextEncoder()

  return {
    async *file(name: string, parts: Iterable<string> | AsyncIterable<string>): AsyncGenerator<Uint8Array> {
      const file = new ZipDeflate(name, { level: 6 })
      file.mtime = mtime
      zip.add(file)
      for await (const part of parts) {
        file.push(encoder.encode(part))
        yield* taken()
      }
      file.push(new Uint8Array(0), true)
      yield* taken()
    },
    /** Pictures are packed already. */
    *asItIs(name: string, bytes: Uint8Array): Generator<Uint8Array> {
      const file = new ZipPassThrough(name)
      file.mtime = mtime
      zip.add(file)
      file.push(bytes, true)
      yield* taken()
    },
    *end(): Generator<Uint8Array> {
      zip.end()
      yield* taken()
    },
  }
}
