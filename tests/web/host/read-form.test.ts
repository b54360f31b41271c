import type { Request } from 'express'
import { describe, expect, it } from 'vitest'
import { z } from 'zod'
import { formId, oneOf, optionalWords, readForm, ticked, words } from '../../../server/web/host/read-form.ts'

const read = <S extends z.ZodType>(schema: S, body: object) => readForm(schema, { body } as Request)
const note = z.object({ note: words('Write something.', 20), more: optionalWords(5) })

describe('words', () => {
  it('are kept as typed, but for control characters and blanks around them', () => {
    const typed = '  <b>&amp;\u0000\u001b[2J\u007f\r\né\t"\'  '
    expect(read(note, { note: typed })).toEqual({
      ok: true,
      data: { note: '<b>&amp;[2J\né\t"\'', more: null },
    })
  })

  it('are asked for where they are missing, and held to their length, each in its field', () => {
    for (const missing of [undefined, '', ' \r\n\u0000 ', ['a', 'b'], { a: 1 }])
      expect(read(note, { note: missing })).toMatchObject({ ok: false, errors: { note: 'Write something.' } })
    expect(read(note, { note: 'x'.repeat(20), more: 'x'.repeat(5) }).ok).toBe(true)
    expect(read(note, { note: 'x'.repeat(21), more: 'x'.repeat(6) })).toMatchObject({
      errors: { note: 'Keep this to 20 characters.', more: 'Keep this to 5 characters.' },
    })
  })

  it('that were refused are given back as typed', () => {
    expect(read(note, { note: '', more: 'too long' })).toMatchObject({ values: { more: 'too long' } })
  })
})

describe('a form', () => {
  it('takes one of the words offered, and none that every object knows', () => {
    const kinds = z.object({ kind: oneOf(['up', 'down'], 'Say which.') })
    expect(read(kinds, { kind: 'up' }).ok).toBe(true)
    for (const kind of ['UP', '__proto__', 'constructor', ['up'], undefined])
      expect(read(kinds, { kind })).toMatchObject({ ok: false, errors: { kind: 'Say which.' } })
  })

  it('is ticked by one word alone', () => {
    const tick = z.object({ sure: ticked })
    expect([read(tick, { sure: 'yes' }), read(tick, {})]).toMatchObject([
      { data: { sure: true } },
      { data: { sure: false } },
    ])
    expect(read(tick, { sure: 'on' }).ok).toBe(false)
  })

  it('is known by a UUID and by nothing else', () => {
    for (const id of ['', '1', "'; DROP TABLE faults; --", '../../etc/passwd', undefined])
      expect(read(z.object({ id: formId }), { id }).ok).toBe(false)
  })

  it('brings in no field that was not asked for, and changes no other object', () => {
    const sent = JSON.parse('{"note":"a","role":"engineer","__proto__":{"admin":true}}')
    expect(read(note, sent)).toEqual({ ok: true, data: { note: 'a', more: null } })
    expect({}).not.toHaveProperty('admin')
  })
})
