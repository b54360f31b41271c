import { describe, expect, it } from 'vitest'
import { charts } from './samples.ts'

describe.each(Object.entries(charts))('%s', (name, make) => {
  const { svg, table } = make()

  it('is drawn as it was when last looked at', () => expect(svg).toMatchFileSnapshot(`./output/${name}.svg`))

  it('has a title, a description, and nothing a strict page would refuse', () => {
    expect(svg).toMatch(
      /^<svg [^>]*role="img"[^>]*>\n<title id="[^"]+">[^<]+<\/title>\n<desc id="[^"]+">[^<]+<\/desc>/,
    )
    expect(svg).not.toMatch(/style=|<script|<style|on\w+=/)
    expect(svg).not.toMatch(/NaN|Infinity|undefined|null/)
  })

  it('has numbers of two digits at most', () => {
    expect(svg.match(/="-?\d+\.\d{3,}"/)).toBeNull()
    expect(svg.match(/ d="[^"]*\d\.\d{3,}[^"]*"/)).toBeNull()
  })

  it('is well formed', () => {
    const open: string[] = []
    for (const [, end, tag, , self] of svg.matchAll(/<(\/?)([a-z]+)((?:\s[\w:-]+="[^"<]*")*)\s*(\/?)>/g)) {
      if (end) expect(open.pop()).toBe(tag)
      else if (!self && tag !== undefined) open.push(tag)
    }
    expect(open).toEqual([])
    expect(svg.replaceAll(/<[^>]*>/g, '')).not.toMatch(/[<>]/)
  })

  it('gives its data as a table beside it', () => {
    expect(table.rows.length).toBeGreaterThan(0)
    for (const row of table.rows) expect(row).toHaveLength(table.head.length)
  })

  it('comes out the same every time', () => expect(make().svg).toBe(svg))
})
