import { AppError } from '../../errors.ts'
import { createRowCache } from '../engine/row-cache.ts'
import { type Connection, isTaken, scalar, sql } from '../engine/sql.ts'
import type { Writer, Written } from '../engine/writer.ts'
import { engineersInstead, letInBy } from './let-in.ts'

export type Role = 'technician' | 'engineer' | 'author' | 'reviewer'

/** Which of a person's secrets another person chose. */
export type Given = 'PIN' | 'password' | 'PIN and password'

export interface Person {
  id: string
  name: string
  role: Role
  active: boolean
  /** Works on an enrolled tablet only. */
  pinHash: string
  /** Works everywhere; null while the person has none. */
  passwordHash: string | null
  /** What is to be changed before the person does anything else; null when all is of their own choice. */
  given: Given | null
}

export type NewPerson = Omit<Person, 'active' | 'passwordHash' | 'given'> & {
  passwordHash?: string | null
  given?: Given | null
}

/** What is undefined stays as it is. */
interface Change {
  role?: Role | undefined
  pinHash?: string | undefined
  passwordHash?: string | null | undefined
  given?: Given | null | undefined
  active?: boolean | undefined
}

export interface People {
  find(id: string): Person | null
  /** Whatever the capitals. */
  findByName(name: string): Person | null
  /** Whether the person is in on the word of one of the others: see let-in.ts. Gives those others. */
  letInBy<T extends { id: string }>(id: string, others: T[]): T[]
  /** Engineers whose word is needed in place of this approver's; see let-in.ts. */
  engineersInstead(approver: string, writers: string[]): { id: string; name: string }[]
  /** By name, those no longer active too. */
  list(): Person[]
  count(): number
  /** 'conflict' when the name is taken. Sent again, the PIN's hash may differ: its salt is new each time. */
  create(person: NewPerson): Written
  /** 'not found' when there is no such person; 'conflict' when no engineer would be left who may sign in. */
  update(id: string, change: Change): Person
}

type Row = Omit<Person, 'active'> & { active: number }

const one = sql<[string], Row>(
  'SELECT id, name, role, active, pin_hash AS pinHash, password_hash AS passwordHash, given FROM people WHERE id = ?',
)
const byName = sql<[string], Row>(
  'SELECT id, name, role, active, pin_hash AS pinHash, password_hash AS passwordHash, given FROM people WHERE name = ?',
)
const all = sql<[], Row>(
  'SELECT id, name, role, active, pin_hash AS pinHash, password_hash AS passwordHash, given FROM people ORDER BY name',
)
const countAll = scalar<[], number>('SELECT count(*) FROM people')
const otherEngineers = scalar<[string], number>(
  "SELECT count(*) FROM people WHERE role = 'engineer' AND active = 1 AND id <> ?",
)
const stored = sql<[string], object>('SELECT name, role FROM people WHERE id = ?')
const insert = sql(`
  INSERT INTO people (id, name, role, pin_hash, password_hash, given, created_at)
  VALUES (@id, @name, @role, @pinHash, @passwordHash, @given, @at)`)
const change = sql(`
  UPDATE people SET role = @role, pin_hash = @pinHash, password_hash = @passwordHash, given = @given, active = @active
  WHERE id = @id`)

export function createPeople({ db, write, moment, once, trail }: Writer): People {
  // Asked for with every page.
  const cache = createRowCache<{ person: Person | null }>(db, trail, {
    maxEntries: 2000,
    read: id => ({ person: person(one(db).get(id)) }),
    invalidates: ({ table, key }) => (table === 'people' ? key : null),
  })
  const find = (id: string) => cache.get(id).person

  return {
    find,
    findByName: name => person(byName(db).get(name) ?? byComposed(db, name)),
    list: () =>
      all(db)
        .all()
        .flatMap(row => person(row) ?? []),
    letInBy(id, others) {
      const all = letInBy(db, id)
      return others.filter(other => all.has(other.id))
    },
    engineersInstead: (approver, writers) => engineersInstead(db, approver, writers),
    count: () => countAll(db).get() ?? 0,
    create: made =>
      write(() => once(stored(db).get(made.id), made, () => insertPerson(db, { ...made, at: moment() }))),
    update: (id, wanted: Change) =>
      write(() => {
        const person = find(id)
        if (person === null) throw new AppError('not found', 'There is no such person.')
        const changes = Object.entries(wanted).filter(([, value]) => value !== undefined)
        const changed: Person = { ...person, ...Object.fromEntries(changes) }
        if (isEngineer(person) && !isEngineer(changed) && otherEngineers(db).get(id) === 0)
          throw new AppError('conflict', lastEngineer)
        change(db).run({ ...changed, active: Number(changed.active) })
        return changed
      }),
  }
}

/** Names are composed (NFC) as they come in; one that was stored before may not be. */
function byComposed(db: Connection, name: string): Row | undefined {
  return all(db)
    .all()
    .find(row => row.name.normalize('NFC') === name.normalize('NFC'))
}

const lastEngineer =
  'This is the last engineer with access: without one nobody could look after people. Make another one first.'

const isEngineer = ({ role, active }: Person) => role === 'engineer' && active

function insertPerson(db: Connection, made: NewPerson & { at: string }): void {
  try {
    insert(db).run({ passwordHash: null, given: null, ...made })
  } catch (error) {
    if (isTaken(error)) throw new AppError('conflict', `There is already somebody called ${made.name}.`)
    throw error
  }
}

function person(row: Row | undefined): Person | null {
  return row === undefined ? null : { ...row, active: row.active === 1 }
}
