import { AppError } from '../../errors.ts'
import { isTaken } from '../engine/database.ts'
import { createKept } from '../engine/kept.ts'
import type { Writer, Written } from '../engine/writer.ts'

export type Role = 'technician' | 'engineer' | 'author' | 'reviewer'

/** Which secrets of a person somebody else chose. */
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
  /** By name, those no longer active too. */
  list(): Person[]
  count(): number
  /** 'conflict' when the name is taken. Sent again, the PIN's hash may differ: its salt is new each time. */
  create(person: NewPerson): Written
  /** 'not found' when there is no such person. */
  update(id: string, change: Change): Person
}

type Row = Omit<Person, 'active'> & { active: number }

export function createPeople({ db, write, moment, once, trail }: Writer): People {
  const one = db.prepare<[string], Row>(
    'SELECT id, name, role, active, pin_hash AS pinHash, password_hash AS passwordHash, given FROM people WHERE id = ?',
  )
  const byName = db.prepare<[string], Row>(
    'SELECT id, name, role, active, pin_hash AS pinHash, password_hash AS passwordHash, given FROM people WHERE name = ?',
  )
  const all = db.prepare<[], Row>(
    'SELECT id, name, role, active, pin_hash AS pinHash, password_hash AS passwordHash, given FROM people ORDER BY name',
  )
  const number = db.prepare<[], number>('SELECT count(*) FROM people').pluck()
  const known = db.prepare<[string], object>('SELECT name, role FROM people WHERE id = ?')
  const insert = db.prepare(`
    INSERT INTO people (id, name, role, pin_hash, password_hash, given, created_at)
    VALUES (@id, @name, @role, @pinHash, @passwordHash, @given, @at)`)
  const change = db.prepare(`
    UPDATE people SET role = @role, pin_hash = @pinHash, password_hash = @passwordHash, given = @given, active = @active
    WHERE id = @id`)

  // Asked for with every page.
  const kept = createKept<{ person: Person | null }>(db, trail, {
    most: 2000,
    read: id => ({ person: person(one.get(id)) }),
    spoiledBy: ({ table, key }) => (table === 'people' ? key : null),
  })
  const find = (id: string) => kept.get(id).person

  function create(made: NewPerson): Written {
    return write(() =>
      once(known.get(made.id), made, () => {
        try {
          insert.run({ passwordHash: null, given: null, ...made, at: moment() })
        } catch (error) {
          if (isTaken(error)) throw new AppError('conflict', `There is already somebody called ${made.name}.`)
          throw error
        }
      }),
    )
  }

  return {
    find,
    findByName: name => person(byName.get(name)),
    list: () => all.all().map(row => ({ ...row, active: row.active === 1 })),
    count: () => number.get() ?? 0,
    create,
    update: (id, wanted: Change) =>
      write(() => {
        const was = find(id)
        if (was === null) throw new AppError('not found', 'There is no such person.')
        const said = Object.entries(wanted).filter(([, value]) => value !== undefined)
        const now: Person = { ...was, ...Object.fromEntries(said) }
        change.run({ ...now, active: Number(now.active) })
        return now
      }),
  }
}

function person(row: Row | undefined): Person | null {
  return row === undefined ? null : { ...row, active: row.active === 1 }
}
