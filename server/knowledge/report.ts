import type { Coverage, TreeCoverage } from './coverage.ts'
import type { Problem } from './problem.ts'

/**
 * Problems as text for people: where, what stands there, what was found, what was expected, how to mend it.
 * Ends with a line that counts them.
 */
export function reportProblems(problems: Problem[]): string {
  return [...problems.map(reportOne), count(problems)].join('\n\n')
}

function reportOne(problem: Problem): string {
  const lines = [
    `${problem.source.path}:${problem.source.line}  ${problem.severity}  ${problem.code}`,
    ...(problem.quote ? [`  | ${problem.quote}`] : []),
    `  ${problem.found}`,
    `  ${problem.expected}`,
    `  ${problem.mend}${problem.hint ? ` Did you mean “${problem.hint}”?` : ''}`,
    ...problem.related.map(({ source, note }) => `  see ${source.path}:${source.line}, ${note}`),
  ]
  return lines.join('\n')
}

function count(problems: Problem[]): string {
  const errors = problems.filter(problem => problem.severity === 'error').length
  const warnings = problems.length - errors
  if (problems.length === 0) return 'No problems.'
  return `${errors} ${errors === 1 ? 'error' : 'errors'}, ${warnings} ${warnings === 1 ? 'warning' : 'warnings'}.`
}

/** The reach of each tree, and the limits still to be filled in, as text for people. */
export function reportCoverage(coverage: Coverage): string {
  const limits = coverage.limits.map(
    ({ equipment, limit, state, source }) =>
      `  ${source.path}:${source.line}  ${equipment}: ${limit} (${state})`,
  )
  return [
    ...coverage.trees.map(reportTree),
    limits.length > 0
      ? `Limits left blank or with a demo value:\n${limits.join('\n')}`
      : 'All limits are filled in.',
  ].join('\n\n')
}

function reportTree(tree: TreeCoverage): string {
  const minutes = tree.expectedMinutes === null ? '–' : `${tree.expectedMinutes.toFixed(1)} min`
  return [
    `${tree.title} (${tree.tree})`,
    `  ${tree.checks} checks, ${tree.causes} causes, longest path ${tree.longestPath} checks, expected time ${minutes}`,
    ...tree.separatesNothing.map(
      ({ check, source }) => `  ${source.path}:${source.line}  separates nothing: ${check}`,
    ),
    ...(tree.untried.length > 0 ? ['  Branches no example takes:'] : []),
    ...tree.untried.map(({ check, row, source }) => `  ${source.path}:${source.line}  ${check}: ${row}`),
  ].join('\n')
}
