import type { Page, Visitor } from '../support/visitor.ts'

export interface FoundForm {
  action: string
  /** As a browser would send it untouched: the first of each choice. */
  fields: Record<string, string>
}

/** The POST forms of a page, with what each field holds. */
export function formsOf({ html }: Page): FoundForm[] {
  return [...html.matchAll(/<form\b([^>]*)>([\s\S]*?)<\/form>/g)].flatMap(([, head = '', body = '']) =>
    /method="post"/.test(head) ? [{ action: attribute(head, 'action'), fields: fieldsOf(body) }] : [],
  )
}

/** Addresses of this program that a page links to. */
export function linksOf({ html }: Page): string[] {
  const links = [...html.matchAll(/\shref="(\/[^"#]*)/g)].map(([, href = '']) => text(href))
  return [...new Set(links)].filter(href => !href.startsWith('/assets') && !href.startsWith('/sign-in'))
}

/** Every page a visitor can reach by links, at most `most`. */
export async function crawl(visitor: Visitor, from: string[], most = 120): Promise<Map<string, Page>> {
  const pages = new Map<string, Page>()
  const waiting = [...from]
  for (let address = waiting.shift(); address !== undefined && pages.size < most; address = waiting.shift()) {
    if (pages.has(address)) continue
    const page = await visitor.get(address)
    pages.set(address, page)
    waiting.push(...(page.location ? [page.location] : linksOf(page)))
  }
  return pages
}

function fieldsOf(body: string): Record<string, string> {
  const fields: Record<string, string> = {}
  for (const [tag] of body.matchAll(/<(?:input|textarea|select|button)\b[^>]*>/g)) {
    const name = attribute(tag, 'name')
    if (name && !(name in fields)) fields[name] = attribute(tag, 'value')
  }
  for (const [, name = '', options = ''] of body.matchAll(
    /<select\b[^>]*name="([^"]*)"[^>]*>([\s\S]*?)<\/select>/g,
  ))
    fields[name] = attribute(options, 'value')
  return fields
}

function attribute(tag: string, name: string): string {
  return text(new RegExp(`\\s${name}="([^"]*)"`).exec(tag)?.[1] ?? '')
}

function text(html: string): string {
  return html
    .replaceAll('&#34;', '"')
    .replaceAll('&quot;', '"')
    .replaceAll('&#39;', "'")
    .replaceAll('&amp;', '&')
}
