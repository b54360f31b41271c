// What an engineer does at the pages of an import, as a browser without scripts does it, over a real connection.

import { once } from 'node:events'
import { Agent, type RequestOptions, request } from 'node:http'
import { setTimeout as wait } from 'node:timers/promises'
import { pin, token } from '../support/site.ts'

interface Answered {
  status: number
  location: string
  html: string
}

export type Send = (address: string, form?: FileForm | Record<string, string>) => Promise<Answered>

export interface FileForm {
  type: string
  bytes: Buffer
}

/** A form with a file, made beforehand: that takes as long as some answers. */
export async function fileForm(file: string): Promise<FileForm> {
  const form = new FormData()
  form.set('subject', 'past faults')
  form.set('file', new File([file], 'faults.csv'))
  const encoded = new Response(form)
  const bytes = Buffer.from(await encoded.arrayBuffer())
  return { type: encoded.headers.get('Content-Type') ?? '', bytes }
}

/** Sends the file and takes what the pages guess; gives its address, where it may be tried out. */
export async function sendFile(send: Send, form: FileForm, sent = () => {}): Promise<{ at: string }> {
  const at = (await send('/import', form)).location
  sent()
  const columns = selected((await send(at)).html)
  await send(`${at}/columns`, { ...columns, dateOrder: 'day first', decimalMark: 'point' })
  await send(`${at}/check`, selected((await send(`${at}/words`)).html))
  return { at }
}

function selected(html: string): Record<string, string> {
  const fields: Record<string, string> = {}
  for (const [, name = '', body = ''] of html.matchAll(
    /<select[^>]*name="([^"]+)"[^>]*>([\s\S]*?)<\/select>/g,
  ))
    fields[name] = /value="([^"]*)"\s+selected/.exec(body)?.[1] ?? ''
  return fields
}

/** Waits as a page that comes again does, and gives the one that does not. */
export async function comesAgain(send: Send, address: string): Promise<Answered> {
  for (;;) {
    const answered = await send(address)
    if (answered.status !== 200) throw new Error(`${address} was answered ${answered.status}.`)
    if (!answered.html.includes('comes again by itself')) return answered
    await wait(1000)
  }
}

/** Signs in on the depot's tablet; what is sent after that goes over one connection. */
export async function signedIn(address: string, name: string, ownPin = pin): Promise<Send> {
  const agent = new Agent({ keepAlive: true, maxSockets: 1 })
  const cookies = new Map([['tablet', encodeURIComponent(token)]])
  const send: Send = async (to, form) => {
    const cookie = [...cookies].map(([key, value]) => `${key}=${value}`).join('; ')
    const headers: Record<string, string> = { Cookie: cookie, 'Sec-Fetch-Site': 'same-origin' }
    const body = form && (isFileForm(form) ? form : encode(form))
    if (body) headers['Content-Type'] = body.type
    const options: RequestOptions = { agent, method: body ? 'POST' : 'GET', headers }
    const sent = request(`${address}${to}`, options)
    sent.end(body?.bytes)
    const [response] = await once(sent, 'response')
    for (const line of response.headers['set-cookie'] ?? []) {
      const [, key = '', value = ''] = /^([^=]+)=([^;]*)/.exec(line) ?? []
      cookies.set(key, value)
    }
    const parts: Buffer[] = []
    for await (const part of response) parts.push(part)
    const { location = '' } = response.headers
    return { status: response.statusCode, location, html: Buffer.concat(parts).toString() }
  }
  const { status } = await send('/sign-in', { name, pin: ownPin })
  if (status !== 303) throw new Error(`${name} was not let in: ${status}.`)
  return send
}

function isFileForm(form: FileForm | Record<string, string>): form is FileForm {
  return form.bytes instanceof Buffer
}

function encode(fields: Record<string, string>): FileForm {
  const bytes = Buffer.from(new URLSearchParams(fields).toString())
  return { type: 'application/x-www-form-urlencoded', bytes }
}
