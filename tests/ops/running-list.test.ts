import { expect, it } from 'vitest'
import { textOf } from '../repo/files.ts'

// How many requirements of levels 1 and 2 each section has; in these chapters they are its first ones. OWASP ASVS 5.0,
// chapters V12 to V17 (read in source).
const sections: Record<string, number> = {
  ...{ '12.1': 3, '12.2': 2, '12.3': 4 },
  ...{ '13.1': 1, '13.2': 5, '13.3': 2, '13.4': 5 },
  ...{ '14.1': 2, '14.2': 4, '14.3': 3 },
  ...{ '15.1': 3, '15.2': 3, '15.3': 7 },
  ...{ '16.1': 1, '16.2': 5, '16.3': 4, '16.4': 3, '16.5': 3 },
  ...{ '17.1': 1, '17.2': 4, '17.3': 2 },
}

it('the list of V12 to V17 answers in each chapter for each requirement, and for none there isn’t', () => {
  const wanted = Object.entries(sections).flatMap(([section, count]) =>
    Array.from({ length: count }, (_, n) => `${section}.${n + 1}`),
  )
  const text = textOf('server/ops/asvs/running.md')
  const chapters = text.slice(text.indexOf('\n## V12'))
  expect([...new Set(chapters.match(/\b1[2-7]\.\d\.\d+\b/g))].sort()).toEqual(wanted.sort())
})
