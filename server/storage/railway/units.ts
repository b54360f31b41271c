// Serialised items and where each was fitted when.

import { AppError } from '../../errors.ts'
import { sql } from '../engine/sql.ts'
import type { Writer, Written } from '../engine/writer.ts'

export interface Unit {
  id: string
  kind: string
  serial: string
  variant: string
}

export interface FittedUnit {
  fittingId: string
  unitId: string
  kind: string
  serial: string
  variant: string
  fittedAt: string
}

export type Fitting = FittedUnit & {
  positionId: string
  positionName: string
  siteId: string
  siteName: string
  removedAt: string | null
}

export interface NewFitting {
  id: string
  unitId: string
  positionId: string
  fittedAt: string
}

export interface Units {
  find(id: string): Unit | null
  /** Whatever the capitals. */
  findBySerial(kind: string, serial: string): Unit | null
  create(unit: Unit): Written
  /** 'conflict' when the unit is still fitted somewhere. */
  fit(fitting: NewFitting): Written
  /** Nothing happens when it isn't fitted anywhere. */
  remove(unitId: string, removedAt: string): void
  /** The plate was read again: the newest reading counts. */
  setVariant(unitId: string, variant: string): void
  /** Newest first. */
  historyOfPosition(positionId: string): Fitting[]
  /** Newest first. */
  historyOfUnit(unitId: string): Fitting[]
}

const one = sql<[string], Unit>('SELECT id, kind, serial, variant FROM units WHERE id = ?')
const bySerial = sql<[string, string], Unit>(
  'SELECT id, kind, serial, variant FROM units WHERE kind = ? AND serial = ?',
)
const insert = sql('INSERT INTO units (id, kind, serial, variant) VALUES (@id, @kind, @serial, @variant)')
const setVariant = sql('UPDATE units SET variant = @variant WHERE id = @unitId AND variant <> @variant')
const storedFitting = sql<[string], object>(
  'SELECT unit_id AS unitId, position_id AS positionId FROM fittings WHERE id = ?',
)
const isFitted = sql<[string]>('SELECT 1 FROM fittings WHERE unit_id = ? AND removed_at IS NULL')
const insertFitting = sql(`
  INSERT INTO fittings (id, unit_id, position_id, fitted_at) VALUES (@id, @unitId, @positionId, @fittedAt)`)
// A clock that was put back must not keep a unit in place.
const remove = sql(`
  UPDATE fittings SET removed_at = max(@removedAt, fitted_at) WHERE unit_id = @unitId AND removed_at IS NULL`)
const ofPosition = sql<[string], Fitting>(`
  SELECT f.id AS fittingId, f.unit_id AS unitId, u.kind, u.serial, u.variant, f.fitted_at AS fittedAt,
    f.removed_at AS removedAt, f.position_id AS positionId, p.name AS positionName, s.id AS siteId, s.name AS siteName
  FROM fittings f JOIN units u ON u.id = f.unit_id JOIN positions p ON p.id = f.position_id
    JOIN sites s ON s.id = p.site_id
  WHERE f.position_id = ? ORDER BY f.fitted_at DESC, f.id`)
const ofUnit = sql<[string], Fitting>(`
  SELECT f.id AS fittingId, f.unit_id AS unitId, u.kind, u.serial, u.variant, f.fitted_at AS fittedAt,
    f.removed_at AS removedAt, f.position_id AS positionId, p.name AS positionName, s.id AS siteId, s.name AS siteName
  FROM fittings f JOIN units u ON u.id = f.unit_id JOIN positions p ON p.id = f.position_id
    JOIN sites s ON s.id = p.site_id
  WHERE f.unit_id = ? ORDER BY f.fitted_at DESC, f.id`)

export function createUnits({ db, write, moment, once }: Writer): Units {
  return {
    find: id => one(db).get(id) ?? null,
    findBySerial: (kind, serial) => bySerial(db).get(kind, serial) ?? null,
    create: unit => write(() => once(one(db).get(unit.id), unit, () => void insert(db).run(unit))),
    fit: fitting =>
      write(() =>
        once(storedFitting(db).get(fitting.id), fitting, () => {
          if (isFitted(db).get(fitting.unitId))
            throw new AppError('conflict', 'This unit is on record as fitted elsewhere.')
          insertFitting(db).run({ ...fitting, fittedAt: moment(fitting.fittedAt) })
        }),
      ),
    remove: (unitId, removedAt) => void write(() => remove(db).run({ unitId, removedAt: moment(removedAt) })),
    setVariant: (unitId, variant) => void write(() => setVariant(db).run({ unitId, variant })),
    historyOfPosition: positionId => ofPosition(db).all(positionId),
    historyOfUnit: unitId => ofUnit(db).all(unitId),
  }
}
