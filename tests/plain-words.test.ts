import { describe, expect, it } from 'vitest'
import { nameTrouble, plainName, plainWords } from '../server/plain-words.ts'
import { makeSite } from './support/site.ts'

// Composed letters: NFC, Unicode Standard Annex 15 (value from memory). What can't be seen: general category Cf and the
// property Default_Ignorable_Code_Point of the Unicode Character Database (values from memory).

describe('words for a record', () => {
  it('have no control characters, one kind of line end, and letters of one spelling', () => {
    expect(plainWords('a\u0000b\u0007c\u009fd\r\ne\rf\tg')).toBe('abcd\ne\nf\tg')
    expect(plainWords('A\u0308ckerhalt')).toBe('\u00c4ckerhalt')
    expect(plainWords('\u202eabc\u202c \u2066x\u2069')).toBe('abc x')
    expect(plainWords('a\ud800b')).toBe('a\ufffdb')
  })

  it('as a name stand in one line with plain spaces', () => {
    expect(plainName(' Wren\u00a0\u2003Aldous\n')).toBe('Wren Aldous')
  })
})

describe('a name', () => {
  it.each([
    'Wren\u200bAldous',
    'Wren\u200d Aldous',
    '\ufeffWren',
    'Wr\u00aden',
    '\u200fWren',
    'Wren\u2060',
    'Wren\u3164',
    'Wren\ufe0f',
    'W\u0335\u0336\u0337ren',
    '\u0301Wren',
    'a\ufffdb',
  ])('%j is refused in words', name => expect(nameTrouble(name)).toMatch(/seen|read/))

  it.each(['Wren Aldous', '\u00c4ckerhalt', 'WH-3-U', "O'Dell", 'Љиљана', '東雲', 'Ngã', 'V\u0303a'])(
    '%j is taken',
    name => expect(nameTrouble(name)).toBeNull(),
  )
})

describe('what is sent', () => {
  it('keeps nobody and no tablet whose name looks like another’s', async () => {
    const site = await makeSite()
    const isla = await site.as('isla')
    const before = site.deps.storage.people.list().length
    const person = { role: 'technician', pin: '7391', now: '2580' }
    const refused = await isla.post('/people', { ...person, name: 'Wren\u200b Aldous' })
    expect([refused.status, refused.text.includes('can’t be seen')]).toEqual([400, true])
    // Two dots above, apart from their letter and composed with it, are one name.
    await isla.post('/people', { ...person, name: 'Bjo\u0308rk Tarn' })
    const twice = await isla.post('/people', { ...person, name: 'Bj\u00f6rk Tarn' })
    expect(twice.status).not.toBe(303)
    expect(site.deps.storage.people.list()).toHaveLength(before + 1)
    const tablet = await isla.post('/tablets', { name: 'Van\u200e 3' })
    expect([tablet.status, tablet.text.includes('can’t be seen')]).toEqual([400, true])
  })

  it('holds no control characters, whatever field it is in', async () => {
    const site = await makeSite()
    const wren = await site.as('wren')
    const page = await wren.post('/faults', {
      noticed: 'dark\u0000\u001b[2J',
      reportedBy: 'x\u0007',
      odd: '\u0001',
    })
    expect(page.html.replace(/[\t\n]/g, '')).not.toMatch(/\p{Cc}/u)
  })
})
