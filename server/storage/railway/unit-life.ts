// A unit's life away from faults: the register of all units, those kept apart or scrapped, and changes as planned.

import { AppError } from '../../errors.ts'
import { nextSeq, sql } from '../engine/sql.ts'
import type { Writer, Written } from '../engine/writer.ts'
import type { Units } from './units.ts'

export interface UnitHold {
  id: string
  unitId: string
  at: string
  by: string
  byName: string
  state: 'kept apart' | 'released'
  reason: string
}

/** A unit that nobody may fit, and why. */
export interface UnitApart {
  state: 'kept apart' | 'scrapped'
  reason: string
  at: string
  byName: string
}

export interface PlannedChange {
  id: string
  unitId: string
  /** Where it went; null when it was only taken out. */
  positionId: string | null
  at: string
  by: string
  words: string
}

export interface RegisteredUnit {
  id: string
  kind: string
  serial: string
  variant: string
  positionId: string | null
  positionName: string | null
  siteName: string | null
  fittedAt: string | null
  lastOutAt: string | null
}

export interface UnitLife {
  /** By kind and serial number; `search` is part of a serial number or a kind, '' for all. */
  register(search: string, most: number): RegisteredUnit[]
  count(): number
  hold(hold: Omit<UnitHold, 'at' | 'byName'>): Written
  holds(unitId: string): UnitHold[]
  /** Null when it may be fitted. */
  findApart(unitId: string): UnitApart | null
  /**
   * Times it was taken out for a fault since a workshop last repaired it, and how many of them within `days` of fitting.
   */
  removals(unitId: string, days: number): { times: number; soon: number }
  /** By unit. */
  listApart(): Map<string, UnitApart>
  /**
   * Takes the unit out of where it stands, and another of its kind out of where it goes, and fits it there.
   * 'invalid' when it may not be fitted, or it is the time before it was last fitted.
   */
  change(change: PlannedChange): Written
  changes(unitId: string): (PlannedChange & { byName: string; place: string | null })[]
}

const register = sql<[{ like: string; most: number }], RegisteredUnit>(`
  SELECT u.id, u.kind, u.serial, u.variant, f.position_id AS positionId, p.name AS positionName, s.name AS siteName,
    f.fitted_at AS fittedAt,
    (SELECT max(o.removed_at) FROM fittings o WHERE o.unit_id = u.id) AS lastOutAt
  FROM units u LEFT JOIN fittings f ON f.unit_id = u.id AND f.removed_at IS NULL
    LEFT JOIN positions p ON p.id = f.position_id LEFT JOIN sites s ON s.id = p.site_id
  WHERE u.serial LIKE @like ESCAPE '!' OR u.kind LIKE @like ESCAPE '!' ORDER BY u.kind, u.serial LIMIT @most`)
const count = sql<[], { n: number }>('SELECT count(*) AS n FROM units')
const storedHold = sql<[string], object>(
  'SELECT unit_id AS unitId, by, state, reason FROM unit_holds WHERE id = ?',
)
const insertHold = sql(`
  INSERT INTO unit_holds (id, unit_id, seq, at, by, state, reason)
  VALUES (@id, @unitId, ${nextSeq('unit_holds', 'unit_id', '@unitId')}, @at, @by, @state, @reason)`)
const holds = sql<[string], UnitHold>(`
  SELECT h.id, h.unit_id AS unitId, h.at, h.by, p.name AS byName, h.state, h.reason
  FROM unit_holds h JOIN people p ON p.id = h.by WHERE h.unit_id = ? ORDER BY h.seq DESC`)
const held = sql<[], UnitApart & { unitId: string }>(`
  SELECT h.unit_id AS unitId, h.state, h.reason, h.at, p.name AS byName
  FROM unit_holds h JOIN people p ON p.id = h.by
  WHERE h.state = 'kept apart' AND h.seq = (SELECT max(seq) FROM unit_holds n WHERE n.unit_id = h.unit_id)`)
// What was fitted again since was not scrapped after all.
const scrapped = sql<[], UnitApart & { unitId: string }>(`
  SELECT w.unit_id AS unitId, 'scrapped' AS state, w.words AS reason, w.at, p.name AS byName
  FROM workshop_visits w JOIN people p ON p.id = w.by
  WHERE w.result = 'scrapped'
    AND NOT EXISTS (SELECT 1 FROM workshop_visits n WHERE n.unit_id = w.unit_id AND n.at > w.at)
    AND NOT EXISTS (SELECT 1 FROM fittings f WHERE f.unit_id = w.unit_id AND f.fitted_at > w.at)`)
const removals = sql<[{ unitId: string; days: number }], { times: number; soon: number }>(`
  SELECT count(*) AS times,
    coalesce(sum(unixepoch(f.removed_at) - unixepoch(f.fitted_at) <= @days * 86400), 0) AS soon
  FROM fittings f
  WHERE f.unit_id = @unitId AND f.removed_at IS NOT NULL
    AND EXISTS (SELECT 1 FROM repairs r INDEXED BY repairs_swaps JOIN faults q ON q.id = r.fault_id
      WHERE r.action = 'unit replaced' AND r.at = f.removed_at AND q.position_id = f.position_id)
    AND NOT EXISTS (SELECT 1 FROM workshop_visits w
      WHERE w.unit_id = f.unit_id AND w.result = 'repaired' AND w.at >= f.removed_at)`)
const storedChange = sql<[string], object>(
  'SELECT unit_id AS unitId, position_id AS positionId, by, words FROM planned_changes WHERE id = ?',
)
const insertChange = sql(`
  INSERT INTO planned_changes (id, unit_id, position_id, at, by, recorded_at, words)
  VALUES (@id, @unitId, @positionId, @at, @by, @recordedAt, @words)`)
const changes = sql<[string], PlannedChange & { byName: string; place: string | null }>(`
  SELECT c.id, c.unit_id AS unitId, c.position_id AS positionId, c.at, c.by, c.words, p.name AS byName,
    s.name || ', ' || q.name AS place
  FROM planned_changes c JOIN people p ON p.id = c.by LEFT JOIN positions q ON q.id = c.position_id
    LEFT JOIN sites s ON s.id = q.site_id
  WHERE c.unit_id = ? ORDER BY c.at DESC, c.id`)

export function createUnitLife({ db, write, moment, once }: Writer, units: Units): UnitLife {
  const listApart = () =>
    new Map(
      [...held(db).all(), ...scrapped(db).all()].map(({ unitId, ...apart }) => [unitId, apart] as const),
    )
  const findApart = (unitId: string) => listApart().get(unitId) ?? null
  return {
    register: (search, most) => register(db).all({ like: `%${search.replace(/[!%_]/g, '!$&')}%`, most }),
    count: () => count(db).get()?.n ?? 0,
    hold: hold =>
      write(() =>
        once(storedHold(db).get(hold.id), hold, () => void insertHold(db).run({ ...hold, at: moment() })),
      ),
    holds: unitId => holds(db).all(unitId),
    findApart,
    removals: (unitId, days) => removals(db).get({ unitId, days }) ?? { times: 0, soon: 0 },
    listApart,
    change: change =>
      write(() => {
        const { at, ...row } = change
        return once(storedChange(db).get(change.id), row, () => {
          makeChange(units, change, findApart(change.unitId))
          insertChange(db).run({ ...change, at: moment(at), recordedAt: moment() })
        })
      }),
    changes: unitId => changes(db).all(unitId),
  }
}

function makeChange(
  units: Units,
  { id, unitId, positionId, at }: PlannedChange,
  apart: UnitApart | null,
): void {
  const unit = units.find(unitId)
  if (unit === null) throw new AppError('not found', 'There is no such unit.')
  if (positionId !== null && apart !== null)
    throw new AppError('invalid', `It is ${apart.state}: ${apart.reason || 'no reason was given'}.`)
  const own = units.historyOfUnit(unitId)
  const there =
    positionId === null ? [] : units.historyOfPosition(positionId).filter(one => one.kind === unit.kind)
  if ([...own, ...there].some(one => one.fittedAt > at || (one.removedAt ?? '') > at))
    throw new AppError('invalid', 'A later change of this unit or at this position is on record already.')
  if (own[0]?.positionId === positionId && own[0]?.removedAt === null)
    throw new AppError('invalid', 'It is fitted there already.')
  units.remove(unitId, at)
  if (positionId === null) return
  for (const one of there) if (one.removedAt === null) units.remove(one.unitId, at)
  units.fit({ id, unitId, positionId, fittedAt: at })
}
