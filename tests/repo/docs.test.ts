import { existsSync } from 'node:fs'
import path from 'node:path'
import { describe, expect, it } from 'vitest'
import { variables } from '../../server/config.ts'
import { filesBelow, root, textOf, tracked } from './files.ts'

const readme = textOf('README.md')
const developers = textOf('DEVELOPERS.md')
const scripts = Object.keys(JSON.parse(textOf('package.json')).scripts)
const dependencies = Object.keys({
  ...JSON.parse(textOf('package.json')).dependencies,
  ...JSON.parse(textOf('package.json')).devDependencies,
})

/** Types come with their library, and the many small packages of one library stand as one. */
function family(name: string): string {
  return name.startsWith('@types/')
    ? name.slice(7) === 'node'
      ? 'typescript'
      : name.slice(7)
    : name.replace(/^@stdlib\/.*/, '@stdlib/*')
}

describe('the documents', () => {
  it.each(variables.map(one => [one.name, one.default]))(
    'README.md explains %s and its default %s',
    (name, value) => {
      const row = readme.split('\n').find(line => line.startsWith(`| \`${name}\``))
      expect(row, `a row for ${name}`).toBeDefined()
      expect(row).toContain(value)
    },
  )

  it.each(scripts)('README.md or DEVELOPERS.md explains the script %s', name => {
    const call = name === 'start' || name === 'test' ? `npm ${name}` : `npm run ${name}`
    expect(readme.includes(call) || developers.includes(call), call).toBe(true)
  })

  it.each([...new Set(dependencies.map(family))])('DEVELOPERS.md gives the reason for %s', name => {
    expect(developers).toContain(`\`${name}\``)
  })

  it('README.md opens with one paragraph that states the job', () => {
    const [title, paragraph = ''] = readme.split('\n\n')
    expect(title).toBe('# Fourfoot')
    expect(paragraph).toMatch(/technician/)
    expect(paragraph).not.toMatch(/^[#|>-]/)
  })

  it('names only files that exist', () => {
    const inCheckout = tracked()
    for (const [name, text] of [
      ['README.md', readme],
      ['DEVELOPERS.md', developers],
    ] as const) {
      const named = [...text.matchAll(/\]\((?!https?:|#)([^)#\s]+)/g)].map(match =>
        (match[1] ?? '').replace(/\/$/, ''),
      )
      expect([name, named.filter(file => !existsSync(path.join(root, file)))]).toEqual([name, []])
      // In a checkout they are files that others get too.
      const untracked = named.filter(
        file => !inCheckout.some(one => one === file || one.startsWith(`${file}/`)),
      )
      if (inCheckout.length > 0) expect([name, untracked]).toEqual([name, []])
    }
  })
})

describe('the files', () => {
  it('of migrations are numbered in order, each number once', () => {
    const names = filesBelow('migrations', '.sql').map(file => file.replace('migrations/', ''))
    expect(names.map(name => Number(name.slice(0, 4)))).toEqual(names.map((_, n) => n + 1))
  })
})
