import { linkEquipment } from './link/equipment.ts'
import { linkTree } from './link/tree.ts'
import type { Problem } from './problem.ts'
import { type Drafts, draftOf } from './read/draft.ts'
import { readDocument } from './read/markdown.ts'
import { namesOf } from './read/names.ts'
import { fileRules, formRules, graphRules, linkRules } from './rules/all.ts'
import type { GraphContext, LinkContext } from './rules/context.ts'
import type { Knowledge, SourceFile } from './types.ts'

export interface Compiled {
  /** Null when a problem is an error. */
  knowledge: Knowledge | null
  /** The most serious first, then by path and line. */
  problems: Problem[]
}

/**
 * Knowledge files as fault trees. Reads the form of each file, links the names, then checks the paths; every
 * stage tells all its problems, and the later ones leave alone what an earlier one found broken. With
 * `lenient`, what could be made of files with errors is given all the same.
 */
export function compile(files: SourceFile[], { lenient = false } = {}): Compiled {
  const { drafts, unread, problems } = readForm(files.filter(file => !/(^|\/)README\.md$/.test(file.path)))
  const linked = linkNames(drafts, unread)
  problems.push(...linked.problems)
  const { context } = linked
  const knowledge: Knowledge = { equipment: context.equipment, trees: linkTrees(context) }
  problems.push(...pathProblems({ ...context, knowledge, damaged: damagedPaths(problems) }))
  const usable = lenient || problems.every(problem => problem.severity === 'warning')
  return { knowledge: usable ? knowledge : null, problems: problems.sort(bySeverity) }
}

function readForm(files: SourceFile[]): { drafts: Drafts; unread: Set<string>; problems: Problem[] } {
  const drafts: Drafts = { trees: [], equipment: [] }
  const unread = new Set<string>()
  const problems: Problem[] = []
  for (const file of files) {
    const unreadable = firstOf(fileRules, file)
    problems.push(...unreadable)
    if (unreadable.length > 0) {
      unread.add(file.path)
      continue
    }
    const draft = draftOf(readDocument(file.path, file.text))
    if (draft.kind === 'tree') drafts.trees.push(draft)
    else drafts.equipment.push(draft)
    for (const rule of formRules) problems.push(...rule(draft))
  }
  return { drafts, unread, problems }
}

function firstOf(rules: ((file: SourceFile) => Problem[])[], file: SourceFile): Problem[] {
  for (const rule of rules) {
    const problems = rule(file)
    if (problems.length > 0) return problems.slice(0, 1)
  }
  return []
}

function linkNames(drafts: Drafts, unread: Set<string>): { context: LinkContext; problems: Problem[] } {
  const names = namesOf(drafts, unread)
  const equipment = new Map(drafts.equipment.map(draft => [draft.doc.slug, linkEquipment(draft, names)]))
  const context = { drafts, names, equipment }
  return { context, problems: linkRules.flatMap(rule => rule(context)) }
}

function linkTrees({ drafts, names, equipment }: LinkContext): Knowledge['trees'] {
  const trees: Knowledge['trees'] = new Map()
  for (const draft of drafts.trees) {
    const tree = linkTree(draft, names, equipment)
    if (tree) trees.set(tree.slug, tree)
  }
  return trees
}

function pathProblems(context: GraphContext): Problem[] {
  return graphRules.flatMap(rule => rule(context))
}

function damagedPaths(problems: Problem[]): Set<string> {
  const errors = problems.filter(problem => problem.severity === 'error')
  return new Set(errors.map(problem => problem.source.path))
}

function bySeverity(a: Problem, b: Problem): number {
  if (a.severity !== b.severity) return a.severity === 'error' ? -1 : 1
  if (a.source.path !== b.source.path) return a.source.path < b.source.path ? -1 : 1
  return a.source.line - b.source.line || (a.code < b.code ? -1 : a.code > b.code ? 1 : 0)
}
