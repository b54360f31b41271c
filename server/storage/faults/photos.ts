import { AppError } from '../../errors.ts'
import { sql } from '../engine/sql.ts'
import type { Writer } from '../engine/writer.ts'
import { type Appends, type Attendances, createAppends } from './attendances.ts'

/** A picture taken on site, of a finding or of a report from the field; the file's name is its SHA-256. */
export interface Photo {
  id: string
  faultId: string
  attendanceId: string
  at: string
  by: string
  byName: string
  findingId: string | null
  reportId: string | null
  /** What it shows, or null. */
  words: string | null
  sha256: string
  type: 'image/jpeg' | 'image/png'
  bytes: number
}

export type NewPhoto = Omit<Photo, 'at' | 'byName'> & { at?: string }

export interface Photos extends Appends<NewPhoto> {
  /** 'not found' when there is none. */
  get(id: string): Photo
  /** Oldest first. */
  listByFault(faultId: string): Photo[]
  /** Each file once. */
  files(): { sha256: string; type: Photo['type'] }[]
}

const SELECT = `
  SELECT p.id, p.fault_id AS faultId, p.attendance_id AS attendanceId, p.at, p.by, n.name AS byName,
    p.finding_id AS findingId, p.report_id AS reportId, p.words, p.sha256, p.type, p.bytes
  FROM photos p JOIN people n ON n.id = p.by`
const one = sql<[string], Photo>(`${SELECT} WHERE p.id = ?`)
const ofFault = sql<[string], Photo>(`${SELECT} WHERE p.fault_id = ? ORDER BY p.at, p.id`)

const files = sql<[], Pick<Photo, 'sha256' | 'type'>>(
  'SELECT DISTINCT sha256, type FROM photos ORDER BY sha256',
)

export function createPhotos(writer: Writer, attendances: Attendances): Photos {
  const { db } = writer
  const appends = createAppends<NewPhoto>(writer, attendances, {
    stored: sql<[string], object>(`
      SELECT fault_id AS faultId, attendance_id AS attendanceId, by, finding_id AS findingId, report_id AS reportId, words,
        sha256, type, bytes
      FROM photos WHERE id = ?`),
    insert: sql<[object]>(`
      INSERT INTO photos (id, fault_id, attendance_id, at, by, finding_id, report_id, words, sha256, type, bytes)
      VALUES (@id, @faultId, @attendanceId, @at, @by, @findingId, @reportId, @words, @sha256, @type, @bytes)`),
    row: ({ findingId, reportId, words, sha256, type, bytes }) => ({
      findingId,
      reportId,
      words,
      sha256,
      type,
      bytes,
    }),
  })
  return {
    ...appends,
    get(id) {
      const photo = one(db).get(id)
      if (!photo) throw new AppError('not found', 'There is no such picture.')
      return photo
    },
    files: () => files(db).all(),
    listByFault: faultId => ofFault(db).all(faultId),
  }
}
