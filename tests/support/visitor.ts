import { randomUUID } from 'node:crypto'
import type TestAgent from 'supertest/lib/agent.js'

export interface Page {
  status: number
  /** Where a redirect leads, or ''. */
  location: string
  html: string
  /** What a reader sees, without tags, spaces folded. */
  text: string
}

/** A browser without scripts: keeps cookies, sends forms as a page of our own would. */
export class Visitor {
  readonly agent: TestAgent

  constructor(agent: TestAgent) {
    this.agent = agent
  }

  async get(address: string): Promise<Page> {
    return page(await this.agent.get(address))
  }

  /** Follows redirects to the page that is shown. */
  async open(address: string): Promise<Page> {
    let found = await this.get(address)
    for (let turn = 0; turn < 5 && found.location; turn += 1) found = await this.get(found.location)
    return found
  }

  /** Sends a form; `id` is made as a page would unless given. */
  /** A field with several values is sent once for each, as a browser does. */
  async post(address: string, fields: Record<string, string | string[]>): Promise<Page> {
    const form = new URLSearchParams()
    for (const [name, value] of Object.entries({ id: randomUUID(), ...fields }))
      for (const one of [value].flat()) form.append(name, one)
    const sent = this.agent.post(address).type('form').set('Sec-Fetch-Site', 'same-origin')
    return page(await sent.send(form.toString()))
  }
}

function page(response: { status: number; text: string; headers: Record<string, string> }): Page {
  const html = response.text ?? ''
  const text = html
    .replace(/<(script|style|svg)\b[\s\S]*?<\/\1>/g, ' ')
    .replace(/<[^>]+>/g, ' ')
    .replace(/&#39;/g, "'")
    .replace(/&#34;|&quot;/g, '"')
    .replace(/&amp;/g, '&')
    .replace(/\s+/g, ' ')
  return { status: response.status, location: response.headers.location ?? '', html, text }
}
