import { spawnSync } from 'node:child_process'
import { existsSync } from 'node:fs'
import path from 'node:path'
import { describe, expect, it } from 'vitest'
import { textOf } from '../repo/files.ts'

const root = path.join(import.meta.dirname, '../..')
const preload = ['--import', './server/require-node.js']

/** Starts the program with Node; `before`: modules that are loaded first of all. */
const start = (node: string, ...before: string[]) =>
  spawnSync(node, [...before.flatMap(one => ['--import', one]), ...preload, 'server/main.ts'], {
    cwd: root,
    encoding: 'utf8',
    // Were it to start, it would end here.
    env: { ...process.env, PORT: 'none' },
  })

const claiming = (version: string) =>
  `data:text/javascript,Object.defineProperty(process.versions,'node',{value:'${version}'})`

/** Versions of Node that this machine has besides, from a place each system uses or the PATH. */
const others = [...new Set(['/usr/bin', '/usr/local/bin', ...(process.env.PATH ?? '').split(path.delimiter)])]
  .map(dir => path.join(dir, 'node'))
  .filter(file => existsSync(file))
  .map(file => ({
    file,
    version: spawnSync(file, ['--version'], { encoding: 'utf8' }).stdout.trim().slice(1),
  }))
  .filter(({ version }) => Number.parseInt(version, 10) >= 18 && Number.parseInt(version, 10) < 24)

describe('a start with a Node that is too old', () => {
  it.each(['20.20.2', '22.22.0', '23.11.1'])('(%s) says so in one line and ends', version => {
    const { status, stdout, stderr } = start(process.execPath, claiming(version))
    expect([status, stdout]).toEqual([1, ''])
    expect(stderr).toMatch(/^Fourfoot needs Node 24 or newer; this is Node [\d.]+ \(\S+\)\. .*\n$/)
    expect(stderr).toContain(`this is Node ${version} `)
  })

  it('goes on with one that is new enough', () => {
    const { status, stderr } = start(process.execPath, claiming('24.0.0'))
    expect([status, stderr]).toEqual([1, expect.stringMatching(/^PORT is "none"; expected/)])
  })

  it('is told so by every older Node of this machine, too', () => {
    for (const { file, version } of others) {
      const { status, stdout, stderr } = start(file)
      expect([status, stdout, stderr.trim().split('\n')]).toEqual([
        1,
        '',
        [expect.stringContaining(`this is Node ${version} `)],
      ])
    }
  })
})

it('every way to start the program looks at Node first', () => {
  const { scripts } = JSON.parse(textOf('package.json')) as { scripts: Record<string, string> }
  const starts = Object.values(scripts).flatMap(script =>
    script.split('&&').filter(command => /\bserver\/[\w/-]+\.ts\b/.test(command)),
  )
  expect(starts.length).toBeGreaterThan(6)
  for (const command of [...starts, textOf('server/ops/fourfoot.service').match(/^ExecStart=.*$/m)?.[0]])
    expect(command).toMatch(/node .*--import \.\/server\/require-node\.js server\/[\w/-]+\.ts/)
})
