import { expect, it } from 'vitest'
import { filesBelow, textOf } from './files.ts'

const lists = filesBelow('server/ops/asvs', '.md')
const files = new Set([...filesBelow('tests', ''), ...filesBelow('server', '')])

it.each(lists)('%s names only tests and files that exist', list => {
  const named = [...textOf(list).matchAll(/`((?:tests|server)\/[\w/.-]+\.\w+)`/g)].map(
    ([, file = '']) => file,
  )
  expect(named.length).toBeGreaterThan(10)
  expect(named.filter(file => !files.has(file))).toEqual([])
})

// How many requirements of levels 1 and 2 each section of version 5.0 has; in these chapters they are its first ones.
// OWASP ASVS 5.0, chapters V1 to V5 (read in source).
const sections: Record<string, number> = {
  ...{ '1.1': 2, '1.2': 9, '1.3': 11, '1.4': 3, '1.5': 2 },
  ...{ '2.1': 3, '2.2': 3, '2.3': 4, '2.4': 1 },
  ...{ '3.2': 2, '3.3': 4, '3.4': 6, '3.5': 5, '3.7': 2 },
  ...{ '4.1': 3, '4.2': 1, '4.3': 2, '4.4': 4 },
  ...{ '5.1': 1, '5.2': 3, '5.3': 2, '5.4': 3 },
}

it('the list of V1 to V5 answers for each requirement, and for none there isn’t', () => {
  const wanted = Object.entries(sections).flatMap(([section, count]) =>
    Array.from({ length: count }, (_, n) => `${section}.${n + 1}`),
  )
  const text = textOf('server/ops/asvs/encoding-to-files.md')
  expect([...new Set(text.match(/\b[1-5]\.\d\.\d+\b/g))].sort()).toEqual(wanted.sort())
})
