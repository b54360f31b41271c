import { randomUUID } from 'node:crypto'
import { readdirSync, readFileSync } from 'node:fs'
import { createServer, type IncomingMessage, type Server, type ServerResponse } from 'node:http'
import type { AddressInfo } from 'node:net'
import path from 'node:path'
import ejs from 'ejs'
import { samples } from './samples.ts'

export const viewsDir = path.resolve(import.meta.dirname, '../../views')
export const samplesDir = path.join(import.meta.dirname, 'samples')

/** As strict as the program's own, so that a page that leans on inline style or script shows it here. */
const policy =
  "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; form-action 'self'"

export interface Frame {
  look?: 'day' | 'night' | 'auto'
  kept?: string
  person?: string
  errors?: Record<string, string>
  values?: Record<string, string>
}

/** One sheet as delivered: `app` for every page, `desk` for wide tables and charts. */
export function sheet(which: 'app' | 'desk'): string {
  const folder = path.join(viewsDir, 'assets/css')
  const names = readdirSync(folder).filter(
    name => name.endsWith('.css') && name.includes('desk') === (which === 'desk'),
  )
  return names
    .sort()
    .map(name => readFileSync(path.join(folder, name), 'utf8'))
    .join('\n')
}

/** A sample page, or `look` for the app's own page about its looks. */
export function renderSample(name: string, frame: Frame = {}): Promise<string> {
  const file = name === 'look' ? path.join(viewsDir, 'look.ejs') : path.join(samplesDir, `${name}.ejs`)
  return ejs.renderFile(file, sampleLocals(name, frame), { root: viewsDir })
}

/** What a sample page is printed with. */
export function sampleLocals(name: string, frame: Frame = {}) {
  const look = frame.look ?? 'day'
  const { title, desk, ...rest } = samples[name] ?? { title: name, desk: false }
  const errors = frame.errors ?? {}
  const page = {
    title,
    desk,
    look,
    error: Object.keys(errors).length > 0,
    address: `/${name}`,
    assets: { app: '/assets/app.css', desk: '/assets/desk.css', script: '/assets/js/main.js' },
    person: { id: frame.person ?? 'p1', name: 'R. Ash', role: 'technician' },
    nav: [
      { href: '/list', text: 'My faults', current: name === 'list' },
      { href: '/record', text: 'Sites' },
    ],
    back: { href: '/list', text: 'Back' },
    kept: frame.kept,
  }
  const foot = { look, address: `/${name}`, sent: '02:13', edition: 'Edition 4 of 20 November 2026' }
  const errorList = Object.entries(errors).map(([id, text]) => ({ id, text }))
  return { ...rest, page, foot, errors, errorList, values: frame.values ?? {}, newId: randomUUID() }
}

export interface Harness {
  address: string
  /** Bodies posted to /findings, as they arrived. */
  posted: URLSearchParams[]
  /**
   * How /findings answers: acknowledge in JSON, redirect the plain way, say nothing, refuse with a page, or ask for a
   * second's patience.
   */
  answers: 'acknowledge' | 'redirect' | 'silence' | 'refuse' | 'not now'
  frame: Frame
  /** Looks posted to /look. */
  looks: string[]
  close(): Promise<void>
}

/** Serves the samples and the assets on 127.0.0.1; every page is made anew with the harness's frame. */
export async function startHarness(): Promise<Harness> {
  const server = createServer((req, res) => void answer(harness, req, res))
  const harness: Harness = {
    address: '',
    posted: [],
    looks: [],
    answers: 'acknowledge',
    frame: {},
    close: () => stop(server),
  }
  await new Promise<void>(done => server.listen(0, '127.0.0.1', done))
  harness.address = `http://127.0.0.1:${(server.address() as AddressInfo).port}`
  return harness
}

function stop(server: Server): Promise<void> {
  server.closeAllConnections()
  return new Promise(done => server.close(() => done()))
}

async function answer(harness: Harness, req: IncomingMessage, res: ServerResponse): Promise<void> {
  const name = new URL(req.url ?? '/', 'http://here').pathname.slice(1)
  res.setHeader('Content-Security-Policy', policy)
  if (req.method === 'POST') return answerPost(harness, name, req, res)
  if (name.startsWith('assets/')) return answerAsset(name, res)
  if (name !== 'look' && !samples[name]) return void res.writeHead(404).end()
  res.setHeader('Content-Type', 'text/html; charset=utf-8')
  res.end(await renderSample(name, harness.frame))
}

function answerAsset(name: string, res: ServerResponse): void {
  const types: Record<string, string> = { css: 'text/css', js: 'text/javascript', svg: 'image/svg+xml' }
  res.setHeader('Content-Type', types[name.split('.').at(-1) ?? ''] ?? 'text/plain')
  if (name === 'assets/app.css' || name === 'assets/desk.css')
    return void res.end(sheet(name.includes('desk') ? 'desk' : 'app'))
  res.end(readFileSync(path.join(viewsDir, name)))
}

async function answerPost(
  harness: Harness,
  name: string,
  req: IncomingMessage,
  res: ServerResponse,
): Promise<void> {
  let text = ''
  for await (const part of req) text += part
  if (name === 'look') harness.looks.push(new URLSearchParams(text).get('look') ?? '')
  if (name !== 'findings') return void res.writeHead(303, { Location: '/list' }).end()
  if (harness.answers === 'silence') return void req.socket.destroy()
  const body = new URLSearchParams(text)
  harness.posted.push(body)
  const wantsData = req.headers.accept === 'application/json'
  if (harness.answers === 'acknowledge' && wantsData) {
    res.writeHead(200, { 'Content-Type': 'application/json' })
    return void res.end(JSON.stringify({ kept: body.get('id'), next: '/verdict' }))
  }
  if (harness.answers === 'not now') return void res.writeHead(503, { 'Retry-After': '1' }).end()
  if (harness.answers === 'refuse') {
    res.writeHead(400, { 'Content-Type': 'text/html; charset=utf-8' })
    const frame = {
      ...harness.frame,
      errors: { reading: 'Write a number, such as 110.' },
      values: Object.fromEntries(body),
    }
    return void res.end(await renderSample('check', frame))
  }
  res.writeHead(303, { Location: '/verdict' }).end()
}
