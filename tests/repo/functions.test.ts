import { stripTypeScriptTypes } from 'node:module'
import { type Node, parse } from 'acorn'
import { expect, it } from 'vitest'
import { filesBelow, textOf } from './files.ts'

const longest = 40

/** Each function of a TypeScript file with its lines from the first to the last, those of functions inside it counted. */
function functionsOf(file: string): { where: string; lines: number }[] {
  // Types become spaces, so that every line stays where it is.
  const code = stripTypeScriptTypes(textOf(file))
  const tree = parse(code, { ecmaVersion: 'latest', sourceType: 'module', locations: true })
  const found: { where: string; lines: number }[] = []
  const visit = (value: unknown): void => {
    if (Array.isArray(value)) for (const one of value) visit(one)
    if (!isNode(value)) return
    if (value.type.includes('Function') && value.loc) {
      const { start, end } = value.loc
      found.push({ where: `${file}:${start.line}`, lines: end.line - start.line + 1 })
    }
    for (const part of Object.values(value)) visit(part)
  }
  visit(tree)
  return found
}

function isNode(value: unknown): value is Node {
  return typeof value === 'object' && value !== null && 'type' in value && typeof value.type === 'string'
}

it(`no function of server is longer than ${longest} lines, those inside it counted`, () => {
  const all = filesBelow('server', '.ts').flatMap(functionsOf)
  expect(all.length).toBeGreaterThan(2000)
  expect(all.filter(one => one.lines > longest)).toEqual([])
})
