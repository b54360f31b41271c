import { beforeEach, describe, expect, it } from 'vitest'
import {
  createSession,
  endSession,
  endSessionMarked,
  listSessions,
  readSession,
  type SessionDeps,
} from '../../server/auth/sessions.ts'
import { type Made, makeRailway } from '../storage/make.ts'

const minute = 60_000
const begin = Date.parse('2026-03-02T08:00:00.000Z')
let made: Made
let now: number
let deps: SessionDeps
let token: string

beforeEach(() => {
  made = makeRailway()
  now = begin
  const config = { sessionIdleMinutes: 30, sessionHours: 12 }
  deps = { storage: made.storage, clock: () => new Date(now), config }
  token = createSession(deps, 'ada')
})

function later(minutes: number): string | undefined {
  now += minutes * minute
  made.at(new Date(now).toISOString())
  return readSession(deps, token)?.name
}

describe('a session', () => {
  it('gives the person signed in', () => {
    expect(later(0)).toBe('Ada Wren')
  })

  it('is nobody’s with another token', () => {
    expect(readSession(deps, `${token}x`)).toBeNull()
    expect(readSession(deps, '')).toBeNull()
  })

  it('leaves the token itself nowhere in the database', () => {
    const rows = made.db.prepare('SELECT * FROM sessions').all()
    expect(rows).toHaveLength(1)
    expect(JSON.stringify(rows)).not.toContain(token)
  })

  it('ends when it is left idle, for good', () => {
    expect(later(29)).toBe('Ada Wren')
    expect(later(29)).toBe('Ada Wren')
    expect(later(30)).toBeUndefined()
    now -= 20 * minute
    expect(later(0)).toBeUndefined()
  })

  it('ends when it is old, however busy', () => {
    for (let i = 0; i < 35; i++) expect(later(20)).toBe('Ada Wren')
    expect(later(20)).toBeUndefined()
  })

  it('ends with signing out, and only that one', () => {
    const other = createSession(deps, 'ada')
    endSession(deps, token)
    expect(later(0)).toBeUndefined()
    expect(readSession(deps, other)?.id).toBe('ada')
  })

  it('ends everywhere at once for one person', () => {
    const bens = createSession(deps, 'ben')
    createSession(deps, 'ada')
    made.storage.sessions.endAllOf('ada')
    expect(later(0)).toBeUndefined()
    expect(readSession(deps, bens)?.id).toBe('ben')
  })

  it('ends when the person is no longer active', () => {
    made.storage.people.update('ada', { active: false })
    expect(later(0)).toBeUndefined()
  })
})

describe('where a person is signed in', () => {
  it('is listed, the newest first, without what would let anybody in', () => {
    now += minute
    made.at(new Date(now).toISOString())
    const other = createSession(deps, 'ada')
    createSession(deps, 'ben')
    const list = listSessions(deps, 'ada', ['of something else', token])
    expect(list.map(({ here, startedAt }) => [here, startedAt])).toEqual([
      [false, '2026-03-02T08:01:00.000Z'],
      [true, '2026-03-02T08:00:00.000Z'],
    ])
    const rows = JSON.stringify(made.db.prepare('SELECT token_hash FROM sessions').all())
    for (const { mark } of list) expect(rows + other + token).not.toContain(mark)
  })

  it('leaves out what has ended, was left idle or is old', () => {
    const marks = () => listSessions(deps, 'ada', []).length
    endSession(deps, createSession(deps, 'ada'))
    expect(marks()).toBe(1)
    now += 30 * minute
    expect(marks()).toBe(0)
  })

  it('can be ended one by one, by the person alone', () => {
    const other = createSession(deps, 'ada')
    const mark = listSessions(deps, 'ada', [other]).find(({ here }) => here)?.mark ?? ''
    expect(endSessionMarked(deps, 'ben', mark)).toBe(false)
    expect(readSession(deps, other)?.id).toBe('ada')
    expect(endSessionMarked(deps, 'ada', mark)).toBe(true)
    expect([readSession(deps, other), later(0)]).toEqual([null, 'Ada Wren'])
    expect(endSessionMarked(deps, 'ada', '')).toBe(false)
  })
})
