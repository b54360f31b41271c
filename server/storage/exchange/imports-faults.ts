// Faults of the past from a spreadsheet. They are listed and counted with the others; they have no attendance and no
// signature here, and a later file does not change what is on record.

import type { PastFaultRow } from '../../exchange/ready-rows.ts'
import { newId } from '../../ids.ts'
import { temperatureWords } from '../../measurement/readings/air-temperature.ts'
import { type Connection, sql } from '../engine/sql.ts'
import type { Writer } from '../engine/writer.ts'
import { added, bad, type Load, type Loaded, type Loading, same } from './load-row.ts'

interface Stored {
  line: number
  reportedAt: string
  closedAt: string
  plate: string
  symptom: string
  cause: string
}

const withPlate = sql<[string], { id: string; equipment: string }>(
  'SELECT id, equipment FROM positions WHERE plate = ?',
)
const columns = `i.line, f.reported_at AS reportedAt, c.at AS closedAt, p.plate, i.symptom, i.cause
  FROM imported_faults i JOIN faults f ON f.id = i.fault_id JOIN closures c ON c.fault_id = f.id
  JOIN positions p ON p.id = f.position_id`
const byReference = sql<[string], Stored>(`SELECT ${columns} WHERE i.reference = ?`)
const byMoment = sql<object, Stored>(`SELECT ${columns}
  WHERE f.position_id = @positionId AND f.reported_at = @reportedAt AND i.symptom = @symptom`)
const walked = sql<object, { id: string }>(`
  SELECT f.id FROM faults f WHERE f.position_id = @positionId
    AND f.reported_at >= substr(@reportedAt, 1, 16) AND f.reported_at < substr(@reportedAt, 1, 16) || 'z'
    AND f.tree = @tree AND NOT EXISTS (SELECT 1 FROM imported_faults i WHERE i.fault_id = f.id)`)
const insertFault = sql(`
  INSERT INTO faults (id, position_id, tree, edition_id, symptom, reported_at, reported_by, recorded_by, recorded_at,
    noticed, protection, intermittent)
  VALUES (@id, @positionId, @tree, @editionId, @symptom, @reportedAt, @reportedBy, @by, @now, @noticed, @protection, 0)`)
const insertMark = sql(`
  INSERT INTO imported_faults (fault_id, import_id, line, reference, symptom, cause, closed_known)
  VALUES (@id, @importId, @line, @reference, @symptom, @cause, @closedKnown)`)
const insertClosure = sql(`
  INSERT INTO closures (id, fault_id, attendance_id, at, by, outcome, cause, cleared_itself, changed, words)
  VALUES (@closureId, @id, NULL, @closedAt, @by, @outcome, @cause, 0, @changed, @words)`)
const insertTemperature = sql("INSERT INTO conditions (fault_id, name, value) VALUES (?, 'temperature', ?)")

export function createImportedFaults({ db, moment }: Writer): Load<PastFaultRow> {
  return (row, loading) => {
    const position = withPlate(db).get(row.plate)
    if (!position) return bad(`Plate: there is no position “${row.plate}” on record.`)
    if (position.equipment !== row.treeEquipment)
      return bad(
        `Symptom: its fault tree is for a ${row.treeEquipment}, and this is a ${position.equipment}.`,
      )
    const { symptom, tree } = row
    const here = { positionId: position.id, reportedAt: moment(row.reportedAt), symptom, tree }
    const onRecord = row.reference ? byReference(db).get(row.reference) : byMoment(db).get(here)
    if (onRecord) return compare(onRecord, row, moment)
    if (walked(db).get(here)) return { state: 'same', words: 'Walked here: it is on record already.' }
    add(db, row, { loading, moment, positionId: position.id })
    return added
  }
}

interface Adding {
  loading: Loading
  moment: Writer['moment']
  positionId: string
}

function add(db: Connection, row: PastFaultRow, adding: Adding): void {
  const { loading, moment, positionId } = adding
  const { by, editionId } = loading
  const { line, tree, reference, protection, causeWords: cause } = row
  const id = newId()
  const reportedAt = moment(row.reportedAt)
  const symptom = row.symptom.length > 160 ? `${row.symptom.slice(0, 159)}…` : row.symptom
  insertFault(db).run({
    id,
    positionId,
    tree,
    editionId,
    by,
    now: moment(),
    symptom,
    reportedAt,
    reportedBy: row.reportedBy ?? 'not recorded',
    noticed: row.symptom,
    protection,
  })
  if (row.temperature !== null) insertTemperature(db).run(id, temperatureWords(row.temperature))
  const closedKnown = Number(row.closedAt !== null)
  insertMark(db).run({ id, importId: loading.id, line, reference, symptom: row.symptom, cause, closedKnown })
  insertClosure(db).run({
    id,
    closureId: newId(),
    closedAt: row.closedAt ? moment(row.closedAt) : reportedAt,
    by,
    outcome: outcomeOf(row),
    cause: row.cause,
    changed: row.words || 'Not recorded.',
    words: closingWords(row, loading),
  })
}

function closingWords({ line, cause, causeWords, closedAt }: PastFaultRow, { fileName }: Loading): string {
  const words = [
    `From ${fileName}, line ${line}.`,
    causeWords && !cause ? `Cause in the file: ${causeWords}.` : '',
    closedAt === null ? 'When it was put right is not recorded.' : '',
  ]
  return words.filter(Boolean).join(' ')
}

/** 'same' when what is on record says what the row says, else 'bad'. */
function compare(stored: Stored, row: PastFaultRow, moment: Writer['moment']): Loaded {
  const closedAt = row.closedAt ? moment(row.closedAt) : stored.closedAt
  const agrees =
    stored.reportedAt === moment(row.reportedAt) &&
    stored.closedAt === closedAt &&
    stored.plate.toLowerCase() === row.plate.toLowerCase() &&
    stored.symptom === row.symptom &&
    stored.cause === row.causeWords
  if (agrees) return same
  return bad(
    'It is on record from an earlier file and says otherwise there; what is on record is not changed.',
  )
}

function outcomeOf(row: PastFaultRow) {
  if (row.cause) return 'probable cause'
  return row.nothingFound ? 'not reproduced' : 'not recorded'
}
