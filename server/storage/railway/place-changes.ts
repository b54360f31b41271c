// Sites and positions changed by hand, each change with its reason; what was there before is on record.

import { AppError } from '../../errors.ts'
import { isTaken, scalar, sql } from '../engine/sql.ts'
import type { Writer } from '../engine/writer.ts'
import type { Position, Positions } from './positions.ts'
import type { Site, Sites } from './sites.ts'

export interface PlaceChange {
  id: string
  at: string
  byName: string
  why: string
  /** What differs, by its name in words. */
  was: Record<string, string>
  became: Record<string, string>
}

/** Who changes it and why; `id`: of the change. */
interface Why {
  id: string
  by: string
  why: string
}

export type SiteWords = Omit<Site, 'id'>
export type PositionWords = Pick<
  Position,
  'name' | 'plate' | 'indicated' | 'inService' | 'outOfService' | 'facts'
>

export interface PlaceChanges {
  /** Newest first; of a site also what was merged into it. */
  list(subject: 'site' | 'position', key: string): PlaceChange[]
  /** Nothing is written when nothing differs. 'conflict' when the name is taken. */
  changeSite(siteId: string, to: SiteWords, why: Why): void
  /** Its positions lie at the other from now on; the site is no more. 'conflict' when two of them have one name. */
  mergeSite(siteId: string, intoId: string, why: Why): void
  /** 'conflict' while positions lie there. */
  removeSite(siteId: string, why: Why): void
  /** A fact that is left out is no longer on record. 'conflict' when the plate or the name is taken. */
  changePosition(positionId: string, to: PositionWords, why: Why): void
}

type Row = Omit<PlaceChange, 'was' | 'became'> & { was: string; became: string }

const list = sql<[string, string], Row>(`
  SELECT c.id, c.at, p.name AS byName, c.why, c.was, c.became
  FROM place_changes c JOIN people p ON p.id = c.by WHERE c.subject = ? AND c.key = ? ORDER BY c.at DESC, c.id DESC`)
const insert = sql(`
  INSERT INTO place_changes (id, at, by, subject, key, why, was, became)
  VALUES (@id, @at, @by, @subject, @key, @why, @was, @became)`)
const setSite = sql(
  'UPDATE sites SET name = @name, line = @line, mileage = @mileage, access = @access WHERE id = @id',
)
const movePositions = sql('UPDATE positions SET site_id = @into WHERE site_id = @id')
const deleteSite = sql<[string]>('DELETE FROM sites WHERE id = ?')
const positionsAt = scalar<[string], number>('SELECT count(*) FROM positions WHERE site_id = ?')
const setPosition = sql(`
  UPDATE positions SET name = @name, plate = @plate, indicated = @indicated, in_service = @inService,
    out_of_service = @outOfService WHERE id = @id`)
const deleteFact = sql<[string, string]>('DELETE FROM position_facts WHERE position_id = ? AND fact = ?')

export function createPlaceChanges(
  writer: Writer,
  { sites, positions }: { sites: Sites; positions: Positions },
): PlaceChanges {
  const { db, write } = writer
  return {
    list: (subject, key) =>
      list(db)
        .all(subject, key)
        .map(row => ({ ...row, was: JSON.parse(row.was), became: JSON.parse(row.became) })),
    changeSite: (id, to, why) =>
      write(() => {
        const change = differing(siteWords(sites.get(id)), siteWords(to))
        if (!note(writer, 'site', id, change, why)) return
        taken(`There is a site called “${to.name}” already.`, () => setSite(db).run({ ...to, id }))
      }),
    mergeSite: (id, into, why) => write(() => mergeSite(writer, sites, { id, into }, why)),
    removeSite: (id, why) => write(() => removeSite(writer, sites.get(id), why)),
    changePosition: (id, to, why) => write(() => changePosition(writer, positions, id, to, why)),
  }
}

function mergeSite(writer: Writer, sites: Sites, { id, into }: { id: string; into: string }, why: Why): void {
  const { db } = writer
  const [from, to] = [sites.get(id), sites.get(into)]
  if (id === into) throw new AppError('invalid', 'Choose another site to merge it into.')
  taken('Two positions of these sites have the same name. Rename one first.', () =>
    movePositions(db).run({ id, into }),
  )
  note(writer, 'site', into, { was: siteWords(from), became: { name: `merged into ${to.name}` } }, why)
  deleteSite(db).run(id)
}

function removeSite(writer: Writer, site: Site, why: Why): void {
  const { db } = writer
  if ((positionsAt(db).get(site.id) ?? 0) > 0)
    throw new AppError('conflict', 'Positions lie at this site. Merge it into another one.')
  note(writer, 'site', site.id, { was: siteWords(site), became: {} }, why)
  deleteSite(db).run(site.id)
}

function changePosition(writer: Writer, positions: Positions, id: string, to: PositionWords, why: Why): void {
  const { db } = writer
  const before = positions.get(id)
  const change = differing(positionWords(before), positionWords(to))
  if (!note(writer, 'position', id, change, why)) return
  taken('Another position has this plate, or this name at the same site.', () =>
    setPosition(db).run({ ...to, indicated: Number(to.indicated), id }),
  )
  for (const [fact, value] of Object.entries(to.facts))
    if (before.facts[fact] !== value) positions.setFact(id, fact, value)
  for (const fact of Object.keys(before.facts)) if (!(fact in to.facts)) deleteFact(db).run(id, fact)
}

type Words = Record<string, string>

function siteWords({ name, line, mileage, access }: SiteWords): Words {
  return { name, line, mileage, 'way in': access }
}

function positionWords({ name, plate, indicated, inService, outOfService, facts }: PositionWords): Words {
  return {
    ...{ name, plate, 'failure shown': indicated ? 'yes' : 'no', 'in service since': inService },
    ...(outOfService === null ? {} : { 'out of service since': outOfService }),
    ...facts,
  }
}

function differing(was: Words, became: Words): { was: Words; became: Words } {
  const names = [...new Set([...Object.keys(was), ...Object.keys(became)])].filter(
    name => was[name] !== became[name],
  )
  const of = (words: Words) =>
    Object.fromEntries(names.flatMap(name => (words[name] === undefined ? [] : [[name, words[name]]])))
  return { was: of(was), became: of(became) }
}

/** False, and nothing written, where nothing differs. */
function note(
  { db, moment }: Writer,
  subject: 'site' | 'position',
  key: string,
  { was, became }: { was: Words; became: Words },
  { id, by, why }: Why,
): boolean {
  if (Object.keys(was).length + Object.keys(became).length === 0) return false
  const words = { was: JSON.stringify(was), became: JSON.stringify(became) }
  insert(db).run({ id, by, why, subject, key, at: moment(), ...words })
  return true
}

function taken(message: string, change: () => void): void {
  try {
    change()
  } catch (error) {
    if (!isTaken(error)) throw error
    throw new AppError('conflict', message)
  }
}
