// Faults of the past from a spreadsheet. They stand among the others and count with them; nobody attended or signed them
// here, and what is on record is not changed by a later file.

import { v7 as newId } from 'uuid'
import type { PastFaultRow } from '../../exchange/ready-rows.ts'
import { temperatureWords } from '../../measurement/readings/air-temperature.ts'
import type { Writer } from '../engine/writer.ts'
import type { Load, Loading } from './imports.ts'

interface Known {
  line: number
  reportedAt: string
  closedAt: string
  plate: string
  symptom: string
  cause: string
}

const bad = (words: string) => ({ state: 'bad', words }) as const
const same = (words = '') => ({ state: 'same', words }) as const

export function createImportedFaults({ db, moment }: Writer): Load<PastFaultRow> {
  const withPlate = db.prepare<[string], { id: string; equipment: string }>(
    'SELECT id, equipment FROM positions WHERE plate = ?',
  )
  const columns = `i.line, f.reported_at AS reportedAt, c.at AS closedAt, p.plate, i.symptom, i.cause
    FROM imported_faults i JOIN faults f ON f.id = i.fault_id JOIN closures c ON c.fault_id = f.id
    JOIN positions p ON p.id = f.position_id`
  const byReference = db.prepare<[string], Known>(`SELECT ${columns} WHERE i.reference = ?`)
  const byMoment = db.prepare<object, Known>(`SELECT ${columns}
    WHERE f.position_id = @positionId AND f.reported_at = @reportedAt AND i.symptom = @symptom`)
  const walked = db.prepare<object, { id: string }>(`
    SELECT f.id FROM faults f WHERE f.position_id = @positionId
      AND f.reported_at >= substr(@reportedAt, 1, 16) AND f.reported_at < substr(@reportedAt, 1, 16) || 'z'
      AND f.tree = @tree AND NOT EXISTS (SELECT 1 FROM imported_faults i WHERE i.fault_id = f.id)`)
  const insertFault = db.prepare(`
    INSERT INTO faults (id, position_id, tree, edition_id, symptom, reported_at, reported_by, recorded_by, recorded_at,
      noticed, protection, intermittent)
    VALUES (@id, @positionId, @tree, @editionId, @symptom, @reportedAt, @reportedBy, @by, @now, @noticed, @protection, 0)`)
  const insertMark = db.prepare(`
    INSERT INTO imported_faults (fault_id, import_id, line, reference, symptom, cause, closed_known)
    VALUES (@id, @importId, @line, @reference, @symptom, @cause, @closedKnown)`)
  const insertClosure = db.prepare(`
    INSERT INTO closures (id, fault_id, attendance_id, at, by, outcome, cause, cleared_itself, changed, words)
    VALUES (@closureId, @id, NULL, @closedAt, @by, @outcome, @cause, 0, @changed, @words)`)

  const insertTemperature = db.prepare(
    "INSERT INTO conditions (fault_id, name, value) VALUES (?, 'temperature', ?)",
  )

  function add(
    row: PastFaultRow,
    positionId: string,
    { by, editionId, id: importId, fileName }: Loading,
  ): void {
    const { line, tree, reference, protection, causeWords: cause } = row
    const [id, reportedAt] = [newId(), moment(row.reportedAt)]
    const symptom = row.symptom.length > 160 ? `${row.symptom.slice(0, 159)}…` : row.symptom
    const reportedBy = row.reportedBy ?? 'not recorded'
    const own = { id, positionId, tree, editionId, by, now: moment() }
    insertFault.run({ ...own, symptom, reportedAt, reportedBy, noticed: row.symptom, protection })
    const closedKnown = Number(row.closedAt !== null)
    if (row.temperature !== null) insertTemperature.run(id, temperatureWords(row.temperature))
    insertMark.run({ id, importId, line, reference, symptom: row.symptom, cause, closedKnown })
    const from = `From ${fileName}, line ${line}.`
    const closedAt = row.closedAt ? moment(row.closedAt) : reportedAt
    const words = [
      from,
      cause && !row.cause ? `Cause in the file: ${cause}.` : '',
      closedKnown ? '' : 'When it was put right is not recorded.',
    ]
    insertClosure.run({
      ...{ id, closureId: newId(), closedAt, by, outcome: outcomeOf(row), cause: row.cause },
      ...{ changed: row.words || 'Not recorded.', words: words.filter(Boolean).join(' ') },
    })
  }

  return (row, loading) => {
    const position = withPlate.get(row.plate)
    if (!position) return bad(`Plate: there is no position “${row.plate}” on record.`)
    if (position.equipment !== row.treeEquipment)
      return bad(
        `Symptom: its fault tree is for a ${row.treeEquipment}, and this is a ${position.equipment}.`,
      )
    const here = {
      positionId: position.id,
      reportedAt: moment(row.reportedAt),
      symptom: row.symptom,
      tree: row.tree,
    }
    const known = row.reference ? byReference.get(row.reference) : byMoment.get(here)
    if (known) return sameAs(known, row, moment)
    if (walked.get(here)) return same('Walked here: it is on record already.')
    add(row, position.id, loading)
    return { state: 'new', words: '' }
  }
}

function sameAs(known: Known, row: PastFaultRow, moment: Writer['moment']) {
  const closedAt = row.closedAt ? moment(row.closedAt) : known.closedAt
  const agrees =
    known.reportedAt === moment(row.reportedAt) &&
    known.closedAt === closedAt &&
    known.plate.toLowerCase() === row.plate.toLowerCase() &&
    known.symptom === row.symptom &&
    known.cause === row.causeWords
  if (agrees) return same()
  return bad(
    'It is on record from an earlier file and says otherwise there; what is on record is not changed.',
  )
}

function outcomeOf(row: PastFaultRow) {
  if (row.cause) return 'probable cause'
  return row.nothingFound ? 'not reproduced' : 'not recorded'
}
