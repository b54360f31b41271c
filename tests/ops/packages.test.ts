// The lock file is the list of what is in use: each package and those it brings, with version and hash.

import { describe, expect, it } from 'vitest'
import { filesBelow, textOf } from '../repo/files.ts'

interface Locked {
  version?: string
  resolved?: string
  integrity?: string
  link?: boolean
  dev?: boolean
}
const { lockfileVersion, packages }: { lockfileVersion: number; packages: Record<string, Locked> } =
  JSON.parse(textOf('package-lock.json'))
const all = Object.entries(packages).filter(([place]) => place !== '')
const { dependencies, devDependencies, optionalDependencies } = JSON.parse(textOf('package.json'))

describe('the packages', () => {
  it('are each locked to one version and the hash of its content', () => {
    expect([lockfileVersion, all.length > 100]).toEqual([3, true])
    const loose = all.filter(([, { version, integrity }]) => !version || !integrity?.startsWith('sha512-'))
    expect(loose.map(([place]) => place)).toEqual([])
  })

  it('come from the registry: none from a folder, a repository or an address of its own', () => {
    const odd = all.filter(
      ([, { link, resolved }]) =>
        link || (resolved !== undefined && !resolved.startsWith('https://registry.npmjs.org/')),
    )
    expect(odd.map(([place]) => place)).toEqual([])
    // SQLite’s own package numbers the builds of each of its versions.
    for (const wanted of Object.values<string>({
      ...dependencies,
      ...devDependencies,
      ...optionalDependencies,
    }))
      expect(wanted).toMatch(/^[\^~]?\d+\.\d+\.\d+(-build\d+)?$/)
  })

  it('that the program imports are those that are installed without the ones for development', () => {
    const imported = filesBelow('server', '.ts').flatMap(file =>
      [
        ...textOf(file).matchAll(
          /^(?:import|export)(?! type)\s[^'"]*?from '([^.'][^']*)'|^import '([^.'][^']*)'/gm,
        ),
      ]
        .map(([, one, two]) => one ?? two ?? '')
        .filter(name => !name.startsWith('node:') && !name.startsWith('built:') && name !== '#platform')
        .map(name =>
          name
            .split('/')
            .slice(0, name.startsWith('@') ? 2 : 1)
            .join('/'),
        ),
    )
    const used = [...new Set(imported)]
    expect(used.length).toBeGreaterThan(8)
    expect(used.filter(name => !(name in dependencies))).toEqual([])
    for (const name of used) expect([name, packages[`node_modules/${name}`]?.dev]).toEqual([name, undefined])
  })
})
