// Limits taken out to a spreadsheet, filled in there by whoever owns them, and brought in again.

import { bare } from '../../../exchange/subjects.ts'
import { limits as fileLimits, Refused, type Table, textOf } from '../../../exchange/table.ts'
import { csvRecord, unguarded } from '../../../exchange/write-csv.ts'
import { plainWords } from '../../../plain-words.ts'
import type { Deps } from '../../deps.ts'
import { download } from '../../host/answer.ts'
import type { Request } from '../../host/request.ts'
import { type LimitRow, startingValue, stateMarks, type TypedLimit } from './limit-rows.ts'
import { limitFile, limitsAgain, saveLimits } from './limits.ts'

const heads = ['Limit', 'Value', 'Unit', 'Source', 'Given by', 'From', 'State', 'Decides'] as const

/** A row for each limit, as it stands. */
export const show = (deps: Deps) => (req: Request) => {
  const { kit, rows } = limitFile(deps, req)
  const lines = rows.map(({ name, stored, state, decides }) =>
    csvRecord([
      ...[name, stored.value, stored.unit, stored.source, stored.who, stored.from],
      ...[stateMarks[state].word, decides],
    ]),
  )
  return download(
    `limits-${kit.slug}.csv`,
    'text/csv; charset=utf-8',
    `\ufeff${csvRecord(heads)}${lines.join('')}`,
  )
}

/** The same table again: what differs goes into the draft, as if it had been typed. */
export const create = (deps: Deps) => async (req: Request) => {
  const { fields, file: bytes } = await req.upload({
    field: 'file',
    bytes: fileLimits.bytes,
    tooLarge: 'The file is larger than any list of limits.',
  })
  const file = limitFile(deps, req)
  const untouched = file.rows.map(startingValue)
  if (!bytes) return limitsAgain(req, file, untouched, { file: 'Choose a file.' })
  try {
    const typed = typedIn(await deps.host.readTable(bytes), file.rows)
    return saveLimits(deps, req, file, typed, fields)
  } catch (error) {
    if (!(error instanceof Refused)) throw error
    return limitsAgain(req, file, untouched, { file: error.message })
  }
}

/** What the table says of each limit; a limit it leaves out stays as it is. Throws Refused. */
function typedIn(table: Table, rows: LimitRow[]): TypedLimit[] {
  const names = table.header.map(bare)
  const columnOf = (head: (typeof heads)[number]) => names.indexOf(bare(head))
  const [name, value, unit, source] = [
    columnOf('Limit'),
    columnOf('Value'),
    columnOf('Unit'),
    columnOf('Source'),
  ]
  const [who, from] = [columnOf('Given by'), columnOf('From')]
  if ([name, value, unit, source].includes(-1))
    throw new Refused('The first row names the columns: Limit, Value, Unit and Source are wanted.')
  const byName = new Map(
    table.rows.map(({ cells }) => {
      const said = (at: number) => unguarded(plainWords(textOf(cells[at])).replaceAll('\n', ' ').trim())
      const given = {
        value: said(value),
        unit: said(unit),
        source: said(source),
        who: said(who),
        from: said(from),
      }
      return [bare(said(name)), given]
    }),
  )
  const known = new Set(rows.map(row => bare(row.name)))
  const strange = [...byName.keys()].filter(key => key !== '' && !known.has(key))
  if (strange.length > 0)
    throw new Refused(
      `There is no limit called ${strange
        .slice(0, 3)
        .map(key => `“${key}”`)
        .join(', ')} here.`,
    )
  return rows.map(row => byName.get(bare(row.name)) ?? startingValue(row))
}
