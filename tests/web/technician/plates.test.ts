import { describe, expect, it } from 'vitest'
import { isPlateOf } from '../../../server/web/technician/attend/identity.ts'

// Invented plates. Which characters are taken for each other is common practice, no published source.

const others = (...plates: string[]) => plates.map(plate => ({ plate }))

describe('a code typed off a plate', () => {
  it.each([['MM-142-O'], ['mm 142 o'], ['MM142O'], ['mm/142.o'], ['mm 142 0'], ['MM I42 O'], ['mm l42 0']])(
    'is taken for the plate MM-142-O as %j',
    typed => expect(isPlateOf(typed, 'MM-142-O', others('MM-142-T'))).toBe(true),
  )

  it('is not taken for another code', () => {
    expect(isPlateOf('MM-142-T', 'MM-142-O', [])).toBe(false)
    expect(isPlateOf('MM-143-O', 'MM-142-O', [])).toBe(false)
    expect(isPlateOf('', 'MM-142-O', [])).toBe(false)
  })

  it('must be exact where two plates at the site differ by such a character only', () => {
    expect(isPlateOf('MM 142 0', 'MM-142-O', others('MM-142-0'))).toBe(false)
    expect(isPlateOf('mm 142 o', 'MM-142-O', others('MM-142-0'))).toBe(true)
  })
})
