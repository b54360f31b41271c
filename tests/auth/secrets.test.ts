import { describe, expect, it } from 'vitest'
import { isMostUsed, mostUsedCount } from '../../server/auth/common-passwords.ts'
import { createSecrets } from '../../server/auth/scrypt.ts'
import { hashFor, pinProblem } from '../../server/auth/secrets.ts'
import { processorTime } from '../support/processor-time.ts'

const standard = createSecrets()
const { passwordProblem } = standard
/** As the program's in all but what a hash costs. */
const cheap = createSecrets({ log2N: 4, r: 1, p: 1 })

describe('a PIN', () => {
  it.each(['4831', '271828', '902817364528'])('may be %s', pin => {
    expect(pinProblem(pin)).toBeNull()
  })

  it.each([
    ['', /digits/],
    ['483', /4 to 12 digits/],
    ['1111', /repeats/],
    ['1212', /repeats/],
    ['123123', /repeats/],
    ['1234', /in a row/],
    ['9876', /in a row/],
    ['7890', /in a row/],
    ['2109', /in a row/],
    ['secret', /digits/],
    ['1'.repeat(13), /digits/],
  ])('may not be %j', (pin, why) => {
    expect(pinProblem(pin)).toMatch(why)
  })
})

// OWASP Application Security Verification Standard 5.0, 6.2.9: 64 characters and more are allowed (read in source).
const sentence =
  'the eleven past the yard stood long at the outer home and whistled twice before it was let in at last'

describe('a password', () => {
  it.each(['seven wet sleepers', 'Kestrel-over-moor', 'grün und blau 42', 'x9$kqpvm!zz', sentence])(
    'may be %s',
    password => {
      expect(passwordProblem(password, 'Ada Wren')).toBeNull()
    },
  )

  it.each([
    ['short one', /10 characters/],
    ['1234567890123', /not only digits/],
    ['abcabcabcabc', /repeats/],
    ['Password2026!', /common word/],
    ['P4ssw0rd!!!!', /common word/],
    ['Qwertyuiop1', /common word/],
    ['Summer2026!!', /common word/],
    ['railwaysignal', /common word/],
    ['AdaWren-1984', /common word/],
    ['x'.repeat(129), /too long/],
  ])('may not be %j', (password, why) => {
    expect(passwordProblem(password, 'Ada Wren')).toMatch(why)
  })
})

describe('the passwords used most', () => {
  // From the list of a million that the SecLists project publishes (read in source): 10 characters or more, in order.
  it.each([
    'q1w2e3r4t5',
    '12345qwert',
    '123456789a',
    '1qaz2wsx3edc',
    'Poiuytrewq',
    'TERMINATOR',
    'football88',
  ])('have %s among them, whatever the capitals', password => {
    expect(isMostUsed(password)).toBe(true)
    expect(passwordProblem(password, 'Ada Wren')).toMatch(/too easy to guess/)
  })

  // OWASP Application Security Verification Standard 5.0, 6.2.4: at least the 3000 used most; 6.2.12: a set of those
  // that have leaked (read in source).
  it('are at least as many as the standard asks for', () => {
    expect(mostUsedCount()).toBeGreaterThanOrEqual(3000)
    expect(Number.isInteger(mostUsedCount())).toBe(true)
  })

  it('let a few words in a row be', () => {
    for (const password of ['seven wet sleepers', 'q1w2e3r4t5 and so on', ''])
      expect(isMostUsed(password)).toBe(false)
  })
})

describe('what is typed', () => {
  const person = { pinHash: 'of the PIN', passwordHash: 'of the password' }

  it('is held against the PIN on an enrolled tablet only, and against the password everywhere', () => {
    expect(hashFor('4831', person, true)).toBe('of the PIN')
    expect(hashFor('4831', person, false)).toBe('of the password')
    expect(hashFor('seven wet sleepers', person, true)).toBe('of the password')
    expect(hashFor('4831', { ...person, passwordHash: null }, false)).toBeNull()
    expect(hashFor('4831', null, true)).toBeNull()
  })
})

describe('a hashed PIN', () => {
  it('is known again, and no other is', async () => {
    const hashed = await cheap.hash('4831')
    expect(await cheap.verify('4831', hashed)).toBe(true)
    expect(await cheap.verify('4832', hashed)).toBe(false)
    expect(await cheap.verify('', hashed)).toBe(false)
  })

  // The same standard, 6.2.8: held against what was typed, nothing cut off, no capitals changed (read in source).
  it('counts to its last character, and in its capitals', async () => {
    const hashed = await cheap.hash(sentence)
    expect(await cheap.verify(sentence, hashed)).toBe(true)
    for (const near of [sentence.slice(0, -1), `${sentence} `, sentence.replace('t', 'T')])
      expect(await cheap.verify(near, hashed)).toBe(false)
  })

  it('has a salt of its own and does not hold the PIN', async () => {
    const [one, two] = await Promise.all([cheap.hash('271828'), cheap.hash('271828')])
    expect(one).not.toBe(two)
    expect(one).not.toContain('271828')
  })

  // OWASP Application Security Verification Standard 5.0, appendix C: N of 2^15, r of 8, p of 3 or more (read in source).
  it('is made with settings of the standard, and one made with others is told', async () => {
    const hashed = await standard.hash('4831')
    expect(hashed).toMatch(/^scrypt\$15\$8\$3\$/)
    expect([standard.isOutdated(hashed), standard.isOutdated(hashed.replace('$8$3$', '$8$1$'))]).toEqual([
      false,
      true,
    ])
  })

  it('is known whichever way a letter with an accent is composed', async () => {
    expect(await cheap.verify('cafe\u0301 noir', await cheap.hash('caf\u00e9 noir'))).toBe(true)
  })

  it('is false for nobody, and as slow to say so', async () => {
    const hashed = await standard.hash('4831')
    await standard.verify('4831', null)
    const time = (against: string | null) =>
      processorTime(async () => expect(await standard.verify('4832', against)).toBe(false))
    expect(await time(null)).toBeGreaterThan((await time(hashed)) / 4)
  })

  it('is false for a hash that is damaged', async () => {
    expect(await cheap.verify('4831', '')).toBe(false)
    expect(await cheap.verify('4831', 'plain$4831')).toBe(false)
  })

  // RFC 7914, section 12, third test vector (value from memory).
  it('is scrypt as published', async () => {
    const key =
      '7023bdcb3afd7348461c06cd81fd38ebfda8fbba904f8e3ea9b543f6545da1f2' +
      'd5432955613f0fcf62d49705242a9af9e61e85dc0d651e40dfcf017b45575887'
    const salt = Buffer.from('SodiumChloride').toString('base64')
    const hashed = `scrypt$14$8$1$${salt}$${Buffer.from(key, 'hex').toString('base64')}`
    expect(await standard.verify('pleaseletmein', hashed)).toBe(true)
  })

  it('is made at the cost handed in, verified at its own, and outdated where another cost is in use', async () => {
    const hashed = await cheap.hash('4831')
    expect(hashed).toMatch(/^scrypt\$4\$1\$1\$/)
    expect([await cheap.verify('4831', hashed), await standard.verify('4831', hashed)]).toEqual([true, true])
    expect([await cheap.verify('4832', hashed), await cheap.verify('4831', null)]).toEqual([false, false])
    expect([cheap.isOutdated(hashed), standard.isOutdated(hashed)]).toEqual([false, true])
    expect(cheap.isOutdated(await standard.hash('4831'))).toBe(true)
  })
})
