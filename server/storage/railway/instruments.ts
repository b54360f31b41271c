import { AppError } from '../../errors.ts'
import type { Instrument, InstrumentFunction } from '../../measurement/instruments/instrument.ts'
import { isTaken, sql } from '../engine/sql.ts'
import type { Writer, Written } from '../engine/writer.ts'

export type KeptInstrument = Instrument & { active: boolean }

/** A reading taken with an instrument that was out of calibration on that day. */
export interface ReadingOutOfDate {
  faultId: string
  positionName: string
  siteName: string
  tree: string
  check: string
  text: string
  at: string
  kind: string
  serial: string
  due: string | null
}

export interface Instruments {
  /** With its newest calibration. */
  find(id: string): KeptInstrument | null
  /** As it was at a moment: with the calibration then on record. */
  findAt(id: string, at: string): KeptInstrument | null
  /** By kind and serial, those no longer in use too. */
  list(): KeptInstrument[]
  /** 'conflict' when the kind and serial are in the register already. */
  create(instrument: Instrument): Written
  addCalibration(calibration: { id: string; instrumentId: string; due: string; at?: string }): Written
  setActive(id: string, active: boolean): void
  /** What it can do and how far it may be off, put right; verdicts on record stand as they were given. */
  setFunctions(id: string, functions: InstrumentFunction[]): void
  /** Newest first. */
  listReadingsOutOfDate(limit: number): ReadingOutOfDate[]
}

type Row = Omit<KeptInstrument, 'functions' | 'active'> & { functions: string; active: number }

const dueAt = `(SELECT c.due FROM calibrations c WHERE c.instrument_id = i.id AND c.recorded_at <= @at
  ORDER BY c.recorded_at DESC, c.id LIMIT 1)`
const columns = `i.id, i.kind, i.serial, i.functions, i.active, ${dueAt} AS calibrationDue`
const one = sql<object, Row>(`SELECT ${columns} FROM instruments i WHERE i.id = @id`)
const all = sql<object, Row>(`SELECT ${columns} FROM instruments i ORDER BY i.kind, i.serial`)
const stored = sql<[string], object>('SELECT kind, serial FROM instruments WHERE id = ?')
const insert = sql(`
  INSERT INTO instruments (id, kind, serial, functions) VALUES (@id, @kind, @serial, @functions)`)
const storedDue = sql<[string], object>(
  'SELECT instrument_id AS instrumentId, due FROM calibrations WHERE id = ?',
)
const insertDue = sql(`
  INSERT INTO calibrations (id, instrument_id, recorded_at, due) VALUES (@id, @instrumentId, @at, @due)`)
const activate = sql('UPDATE instruments SET active = @active WHERE id = @id')
const describe = sql('UPDATE instruments SET functions = @functions WHERE id = @id')
const outOfDate = sql<object, ReadingOutOfDate>(`
  SELECT r.fault_id AS faultId, p.name AS positionName, s.name AS siteName, r.tree, r."check", r.text, r.at,
    i.kind, i.serial, r.due
  FROM (
    SELECT m.*, (SELECT c.due FROM calibrations c WHERE c.instrument_id = m.instrument AND c.recorded_at <= m.at
      ORDER BY c.recorded_at DESC, c.id LIMIT 1) AS due
    FROM (
      SELECT fault_id, tree, "check", text, at, instrument FROM findings WHERE instrument IS NOT NULL
      UNION ALL
      SELECT fault_id, tree, "check", text, at, instrument FROM proofs WHERE instrument IS NOT NULL
    ) m
  ) r
  JOIN instruments i ON i.id = r.instrument
  JOIN faults f ON f.id = r.fault_id
  JOIN positions p ON p.id = f.position_id
  JOIN sites s ON s.id = p.site_id
  WHERE r.due IS NULL OR r.due < substr(r.at, 1, 10)
  ORDER BY r.at DESC LIMIT @limit`)

export function createInstruments({ db, write, once, moment }: Writer): Instruments {
  function create(made: Instrument): Written {
    return write(() =>
      once(stored(db).get(made.id), { id: made.id, kind: made.kind, serial: made.serial }, () => {
        try {
          insert(db).run({ ...made, functions: JSON.stringify(made.functions) })
        } catch (error) {
          if (!isTaken(error)) throw error
          throw new AppError('conflict', `The ${made.kind} ${made.serial} is in the register already.`)
        }
      }),
    )
  }

  return {
    find: id => instrument(one(db).get({ id, at: moment() })),
    findAt: (id, at) => instrument(one(db).get({ id, at })),
    list: () =>
      all(db)
        .all({ at: moment() })
        .flatMap(row => instrument(row) ?? []),
    create,
    addCalibration: made =>
      write(() =>
        once(storedDue(db).get(made.id), made, () => insertDue(db).run({ ...made, at: moment(made.at) })),
      ),
    setActive(id, active) {
      const { changes } = write(() => activate(db).run({ id, active: Number(active) }))
      if (changes === 0) throw new AppError('not found', 'There is no such instrument.')
    },
    setFunctions(id, functions) {
      const { changes } = write(() => describe(db).run({ id, functions: JSON.stringify(functions) }))
      if (changes === 0) throw new AppError('not found', 'There is no such instrument.')
    },
    listReadingsOutOfDate: limit => outOfDate(db).all({ limit }),
  }
}

function instrument(row: Row | undefined): KeptInstrument | null {
  return row ? { ...row, functions: JSON.parse(row.functions), active: row.active === 1 } : null
}
