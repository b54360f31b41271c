import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { renderMarkdown } from '../../server/knowledge/render.ts'
import { processorTime } from '../support/processor-time.ts'
import { mutated, seeded } from './generated.ts'

describe('Markdown as HTML', () => {
  it('renders emphasis, lists and tables', () => {
    expect(renderMarkdown('**Caution** live')).toBe('<p><strong>Caution</strong> live</p>\n')
    expect(renderMarkdown('- a\n- b')).toContain('<li>a</li>')
  })

  it('shows raw HTML as text', () => {
    expect(renderMarkdown('a <b onclick="x()">bold</b>')).toBe(
      '<p>a &lt;b onclick=&quot;x()&quot;&gt;bold&lt;/b&gt;</p>\n',
    )
    expect(renderMarkdown('<script>alert(1)</script>')).not.toContain('<script')
  })

  it('shows a web address beside the words of its link, and keeps only the words of others', () => {
    expect(renderMarkdown('[source](https://example.org/a?b=1&c=2)')).toBe(
      '<p>source <a href="https://example.org/a?b=1&amp;c=2" rel="noreferrer noopener">https://example.org/a?b=1&amp;c=2</a></p>\n',
    )
    expect(renderMarkdown('[go](javascript:alert(1))')).toBe('<p>go</p>\n')
    expect(renderMarkdown('[go](data:text/html,x) [other](other.md#check)')).toBe('<p>go other</p>\n')
  })

  it('shows an image as its words', () => {
    expect(renderMarkdown('![a lamp](https://example.org/a.png)')).toBe('<p>a lamp</p>\n')
  })

  it('gives no element or address that was not meant, whatever the text', () => {
    const piece = fc.constantFrom(
      '<',
      '>',
      '"',
      "'",
      '[',
      ']',
      '(',
      ')',
      '`',
      '\n',
      '&#',
      'x',
      'script',
      'javascript:',
      'https://a',
      ' onclick=',
      '!',
      '|',
      '- ',
    )
    const words = fc.array(piece, { maxLength: 40 }).map(parts => parts.join(''))
    fc.assert(
      fc.property(words, text => isHarmless(renderMarkdown(text))),
      { seed: 7, numRuns: 2_000 },
    )
  })

  it('takes little time for hostile text', async () => {
    for (const text of [
      '*a_ '.repeat(20_000),
      '>'.repeat(50_000),
      '[a]('.repeat(9_000),
      '['.repeat(9_000),
      '`a'.repeat(9_000),
      '- '.repeat(9_000),
    ]) {
      expect(await processorTime(() => renderMarkdown(text))).toBeLessThan(1_000)
    }
    const random = seeded(5)
    for (let index = 0; index < 200; index++)
      isHarmless(renderMarkdown(mutated('# A\n\n- b\n- c\n\n> d', random)))
  })
})

const ELEMENTS = 'p|strong|em|del|ul|ol|li|code|pre|blockquote|h[1-6]|hr|br|table|thead|tbody|tr|th|td|input'

/** Every tag is one that Markdown makes, and every address is http(s). */
function isHarmless(html: string): boolean {
  for (const [tag] of html.matchAll(/<[^>]*>/g)) {
    const plain = new RegExp(
      `^</?(?:${ELEMENTS}|a)(?: (?:start|align|type|class|disabled|checked)="[^"]*")*>$`,
    )
    const link = /^<a href="https?:\/\/[^"]*" rel="noreferrer noopener">$/
    if (!plain.test(tag) && !link.test(tag)) throw new Error(`${tag} in ${html}`)
  }
  return true
}
