// The rows of a file, read and looked at a little at a time: for the try-out, and again when it is brought in.

import { type BadRow, parseRows } from '../../../exchange/parse-rows.ts'
import { type ReadyRows, readyRows, type WordMeanings } from '../../../exchange/ready-rows.ts'
import type { Row } from '../../../exchange/table.ts'
import type { Bringing, Loading, RowOutcome } from '../../../storage/storage.ts'
import type { Deps } from '../../deps.ts'
import type { LookedAt, Upload } from './import-uploads.ts'
import { factsInUse, fieldsFor } from './read-upload.ts'
import { slicesOf } from './slices.ts'

export function notLookedAt({ table }: Upload): LookedAt {
  return { done: 0, of: table.rows.length, named: [], added: [], same: [], unreadable: [] }
}

/** Begins with the file as it is set up now: columns and meanings may change later. */
export function beginBringing(deps: Deps, upload: Upload, by: { id: string; by: string }): Bringing {
  return deps.storage.imports.begin(loadingOf(deps, upload, by), upload.subject)
}

/** Looks at all rows, writing into `seen` how far it is; ends early once `isGivenUp`. */
export function lookThrough(
  deps: Deps,
  upload: Upload,
  { bringing, seen, isGivenUp }: { bringing: Bringing; seen: LookedAt; isGivenUp: () => boolean },
): Promise<void> {
  const read = reader(deps, upload)
  const { rows } = upload.table
  return slicesOf(deps).workThrough(items => {
    const { ready, bad } = read(rows.slice(seen.done, seen.done + items))
    seen.unreadable.push(...bad)
    for (const outcome of bringing.look(ready)) note(seen, outcome)
    seen.done = Math.min(seen.done + items, rows.length)
    return seen.done === rows.length || isGivenUp()
  })
}

/** So many of the new and of the same are shown; the rest are counted. */
export const mostShown = 200

function note(seen: LookedAt, outcome: RowOutcome): void {
  if (outcome.state === 'changed' || outcome.state === 'bad') seen.named.push(outcome)
  else if (outcome.state === 'new' && seen.added.length < mostShown) seen.added.push(outcome)
  else if (outcome.state === 'same' && seen.same.length < mostShown) seen.same.push(outcome)
}

function reader(deps: Deps, upload: Upload): (rows: Row[]) => { ready: ReadyRows; bad: BadRow[] } {
  const { columns, fixed, dateOrder, decimalMark, subject } = upload
  const fields = fieldsFor(deps, subject)
  const now = deps.clock()
  const how = {
    columns,
    fixed,
    decimalMark,
    dateOrder: dateOrder ?? ('day first' as const),
    toUtc: deps.times.fromLocal,
    now,
    facts: factsInUse(deps),
  }
  const meanings = upload.meanings ?? {
    symptoms: new Map<string, string>(),
    causes: new Map<string, string>(),
  }
  const { knowledge } = deps.library.current()
  return rows => {
    const { good, bad } = parseRows(rows, fields, how)
    const { ready, bad: more } = readyRows(subject, good, knowledge, meanings, now.toISOString())
    return { ready, bad: [...bad, ...more] }
  }
}

function loadingOf(
  deps: Deps,
  upload: Upload,
  { id, by }: { id: string; by: string },
): Omit<Loading, 'leftOut'> {
  const { fileName, sha256, columns, fixed, table, dateOrder, decimalMark } = upload
  const named = Object.fromEntries(
    Object.entries(columns).map(([field, at]) => [field, table.header[at] ?? '']),
  )
  const { encoding, delimiter, sheet } = table
  const how = {
    fixed,
    header: table.header,
    meanings: meaningsAsData(upload.meanings),
    encoding,
    delimiter,
    sheet,
    dateOrder,
    decimalMark,
  }
  const editionId = deps.library.current().id
  return { id, by, editionId, fileName, sha256, columns: { columns: named, ...how } }
}

/** So many wordings are remembered for the next file. */
const mostRemembered = 500

function meaningsAsData(meanings: Upload['meanings']): WordMeanings | undefined {
  if (!meanings) return undefined
  const asData = (words: Map<string, string>) => Object.fromEntries([...words].slice(0, mostRemembered))
  return { symptoms: asData(meanings.symptoms), causes: asData(meanings.causes) }
}
