import { Marked, type Tokens } from 'marked'

/**
 * Author's Markdown as HTML that is safe to put in a page: raw HTML is shown
 * as text, images as their words, and a link only when it leads to http(s),
 * with its address shown beside it. Other links keep their words only.
 */
export function renderMarkdown(text: string): string {
  if (text.length > LONGEST || isTooDeep(text)) return `<pre>${escapeHtml(text)}</pre>`
  return renderer.parse(text, { async: false })
}

/** Longer or deeper text than any author writes is shown as it stands, so that no text can stall a page. */
const LONGEST = 100_000
const LONGEST_RUN = 5_000

function isTooDeep(text: string): boolean {
  if (/(?:[>*+-][ \t]*){30}|^[ \t]{60}/m.test(text)) return true
  return text.split(/\n\s*\n/).some(block => block.length > LONGEST_RUN)
}

const renderer = new Marked({
  gfm: true,
  renderer: {
    html(token: Tokens.HTML | Tokens.Tag) {
      return escapeHtml(token.text)
    },
    image(token: Tokens.Image) {
      return escapeHtml(token.text)
    },
    link(token: Tokens.Link) {
      const words = this.parser.parseInline(token.tokens)
      return isWebAddress(token.href) ? webLink(token.href, words) : words
    },
  },
})

function isWebAddress(href: string): boolean {
  return /^https?:\/\/[^\s"'<>]+$/i.test(href)
}

function webLink(href: string, words: string): string {
  const address = escapeHtml(href)
  const shown = words === address ? '' : `${words} `
  return `${shown}<a href="${address}" rel="noreferrer noopener">${address}</a>`
}

function escapeHtml(text: string): string {
  return text
    .replaceAll('&', '&amp;')
    .replaceAll('<', '&lt;')
    .replaceAll('>', '&gt;')
    .replaceAll('"', '&quot;')
    .replaceAll("'", '&#39;')
}
