import { describe, expect, it } from 'vitest'
import { filesBelow, textOf } from '../repo/files.ts'

// The program answers and never asks: no other host, and no page of ours makes a browser ask one.

const network = /from '(?:node:)?(https?|http2|net|tls|dgram|dns|dns\/promises)'/g
/** Listens, and types of what it was asked. */
const listeners: Record<string, string[]> = {
  'server/start.ts': ['net', 'http'],
  'server/web/http-server.ts': ['http'],
  'server/web/security-headers.ts': ['http'],
}
/** The one script that asks the package registry, run by hand or by the checks; not part of the program. */
const byHand = ['server/ops/audit.ts']
const calls =
  /\bfetch\(|\bhttps?\.(?:get|request)\(|\bconnect\(|XMLHttpRequest|WebSocket|EventSource|sendBeacon/

describe('the program talks to nobody', () => {
  it('opens the network only where it listens', () => {
    for (const file of filesBelow('server', '.ts')) {
      const used = [...textOf(file).matchAll(network)].map(([, name = '']) => name)
      expect([file, used.filter(name => !listeners[file]?.includes(name))]).toEqual([file, []])
    }
  })

  it('sends no request of its own', () => {
    const wrong = filesBelow('server', '.ts').filter(
      file => !byHand.includes(file) && calls.test(textOf(file)),
    )
    expect(wrong).toEqual([])
  })

  it('starts no other program than itself', () => {
    const started = filesBelow('server', '.ts').filter(file => /node:child_process/.test(textOf(file)))
    expect(started.sort()).toEqual([
      'server/ops/audit.ts',
      'server/scheduled-backups.ts',
      'server/web/engineer/review/ranking.ts',
    ])
    expect(textOf('server/scheduled-backups.ts')).toContain('spawn(process.execPath,')
    expect(textOf('server/web/engineer/review/ranking.ts')).not.toMatch(/\b(exec|execSync|spawn|spawnSync)\(/)
  })

  it('draws its pages with its own sheets, scripts and pictures', () => {
    const elsewhere =
      /(?:src|action|srcset)="(?:https?:)?\/\/|<link[^>]+href="(?:https?:)?\/\/|url\((["']?)(?:https?:)?\/\/|@import/
    const files = [
      ...filesBelow('views', '.ejs'),
      ...filesBelow('views/assets', '.css'),
      ...filesBelow('views/assets', '.js'),
    ]
    expect(files.length).toBeGreaterThan(50)
    expect(files.filter(file => elsewhere.test(textOf(file)))).toEqual([])
  })
})
