/** A link as written: `[text](href)`. */
export interface Link {
  text: string
  href: string
}

/** All links in a piece of Markdown, in order. Images count as links. */
export function linksIn(markdown: string): Link[] {
  const links: Link[] = []
  if (!markdown.includes('](')) return links
  const link = /\[([^[\]]*)\]\(([^()\s]*)\)/g
  for (let match = link.exec(markdown); match; match = link.exec(markdown)) {
    links.push({ text: (match[1] ?? '').trim(), href: match[2] ?? '' })
  }
  return links
}

/**
 * Where a relative address leads from a file: path inside the
 * folder, and heading slug or null. Null for other addresses.
 */
export function resolveHref(from: string, href: string): { path: string; heading: string | null } | null {
  if (href.startsWith('#')) return { path: from, heading: href.slice(1) }
  if (/^[a-z][a-z0-9+.-]*:/i.test(href) || href.startsWith('/')) return null
  const hash = href.indexOf('#')
  const file = hash < 0 ? href : href.slice(0, hash)
  const heading = hash < 0 ? null : href.slice(hash + 1)
  if (file === '') return null
  const parts = from.split('/').slice(0, -1)
  for (const part of file.split('/')) {
    if (part === '..') {
      if (parts.length === 0) return null
      parts.pop()
    } else if (part !== '.') parts.push(part)
  }
  return { path: parts.join('/'), heading }
}
