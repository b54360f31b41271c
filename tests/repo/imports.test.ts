import path from 'node:path'
import { describe, expect, it } from 'vitest'
import { filesBelow, textOf } from './files.ts'

/** What each folder of server/ may import of the others. Its own files are always its own to use. */
const mayImport: Record<string, string[]> = {
  statistics: [],
  charts: [],
  circuit: [],
  measurement: ['statistics'],
  knowledge: ['measurement'],
  walk: ['knowledge', 'measurement'],
  diagnosis: ['statistics', 'knowledge', 'measurement', 'walk'],
  practice: ['statistics', 'circuit', 'knowledge', 'measurement', 'walk', 'diagnosis', 'history'],
  history: ['statistics', 'measurement'],
  exchange: ['knowledge', 'measurement'],
  storage: ['knowledge', 'measurement', 'walk', 'diagnosis', 'history', 'exchange'],
  auth: ['storage'],
  review: ['statistics', 'knowledge', 'measurement', 'walk', 'diagnosis', 'history', 'charts', 'storage'],
  demo: ['statistics', 'knowledge', 'measurement', 'walk', 'diagnosis', 'history', 'storage', 'auth'],
  ops: ['storage', 'auth'],
  web: [
    ...['statistics', 'knowledge', 'measurement', 'walk', 'diagnosis', 'history', 'charts'],
    ...['exchange', 'storage', 'auth', 'review', 'circuit', 'practice'],
  ],
  tablet: ['storage', 'auth', 'web'],
}

/** Run in a browser as well as on the server: no Node module, no Express, no SQLite. */
const pure = [
  'statistics',
  'knowledge',
  'measurement',
  'walk',
  'diagnosis',
  'history',
  'charts',
  'circuit',
  'practice',
]
const pureExceptions = ['server/knowledge/load.ts']
const purePackages = /^(marked|d3-array|d3-scale|d3-shape|@dagrejs\/dagre|@stdlib\/.+)$/

interface Import {
  file: string
  from: string
  target: string
}

const imports: Import[] = filesBelow('server', '.ts').flatMap(file =>
  [
    ...textOf(file).matchAll(
      /(?:^|\n)\s*(?:import|export)\b[^'"]*?from\s+['"]([^'"]+)['"]|import\(['"]([^'"]+)['"]\)/g,
    ),
  ].map(match => {
    const target = match[1] ?? match[2] ?? ''
    return { file, from: file.split('/')[1] ?? '', target }
  }),
)

function folderOf({ file, target }: Import): string | null {
  if (!target.startsWith('.')) return null
  const [top, folder, rest] = path.posix.join(path.posix.dirname(file), target).split('/')
  return top === 'server' && rest ? (folder ?? null) : null
}

describe('the import rule', () => {
  it('finds imports to check', () => {
    expect(imports.length).toBeGreaterThan(200)
  })

  it.each(Object.keys(mayImport))('%s imports only the folders below it', folder => {
    const wrong = imports.filter(one => {
      const other = folderOf(one)
      return one.from === folder && other !== null && other !== folder && !mayImport[folder]?.includes(other)
    })
    expect(wrong).toEqual([])
  })

  it('pure folders import nothing of Node, Express or SQLite', () => {
    const wrong = imports.filter(
      ({ file, from, target }) =>
        pure.includes(from) &&
        !pureExceptions.includes(file) &&
        !target.startsWith('.') &&
        !purePackages.test(target),
    )
    expect(wrong).toEqual([])
  })

  it('pure folders import of the files beside them only the words, the errors and the cache', () => {
    const shared = ['server/words.ts', 'server/errors.ts', 'server/cache.ts']
    const wrong = imports.filter(({ file, from, target }) => {
      const imported = path.posix.join(path.posix.dirname(file), target)
      const besideThem = target.startsWith('.') && path.posix.dirname(imported) === 'server'
      return pure.includes(from) && besideThem && !shared.includes(imported)
    })
    expect(wrong).toEqual([])
    expect(imports.filter(({ file }) => shared.includes(file))).toEqual([])
  })

  it('the circuit model imports nothing but its own files: no limit, no formula and no tree', () => {
    const own = imports.filter(({ from }) => from === 'circuit')
    const wrong = own.filter(
      ({ file, target }) =>
        path.posix.dirname(path.posix.join(path.posix.dirname(file), target)) !== 'server/circuit',
    )
    expect(wrong).toEqual([])
    expect(own.length).toBeGreaterThan(5)
  })

  it('no file leads back to itself, types included', () => {
    const next = new Map<string, string[]>()
    for (const { file, target } of imports.filter(one => one.target.startsWith('.')))
      next.set(file, [...(next.get(file) ?? []), path.posix.join(path.posix.dirname(file), target)])
    const circles: string[] = []
    const done = new Set<string>()
    const follow = (file: string, way: string[]): void => {
      if (way.includes(file)) circles.push([...way.slice(way.indexOf(file)), file].join(' → '))
      if (way.includes(file) || done.has(file)) return
      for (const one of next.get(file) ?? []) follow(one, [...way, file])
      done.add(file)
    }
    for (const file of next.keys()) follow(file, [])
    expect(circles).toEqual([])
  })

  it('handlers import nothing of Express, of Node or of the server as a host', () => {
    const handlers = /^server\/web\/(technician|engineer|author|people)\//
    const ofTheServer =
      /^server\/web\/host\/(middleware\/.*|express|node-host|view-engine|compile-views)\.ts$/
    const wrong = imports.filter(({ file, target }) => {
      const imported = target.startsWith('.') ? path.posix.join(path.posix.dirname(file), target) : target
      return handlers.test(file) && (/^(node:|express$)/.test(imported) || ofTheServer.test(imported))
    })
    expect(wrong).toEqual([])
    expect(imports.filter(({ file }) => handlers.test(file)).length).toBeGreaterThan(500)
  })

  it('SQL stands in storage alone', () => {
    const sql = /\b(SELECT\s[\s\S]{1,400}\sFROM|INSERT INTO|UPDATE \w+ SET|DELETE FROM)\b/
    const wrong = filesBelow('server', '.ts').filter(
      file => !file.startsWith('server/storage/') && sql.test(textOf(file)),
    )
    expect(wrong).toEqual([])
  })

  it('only config reads the environment', () => {
    const allowed = ['server/main.ts', 'server/demo.ts', 'server/config.ts']
    const wrong = filesBelow('server', '.ts').filter(
      file =>
        textOf(file).includes('process.env') &&
        !allowed.includes(file) &&
        !/^server\/(ops\/)?[\w-]+\.ts$/.test(file),
    )
    expect(wrong).toEqual([])
  })
})
