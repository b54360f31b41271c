// `npm run knowledge`: what is wrong with the knowledge folder, and how far its trees reach.

import { parseArgs } from 'node:util'
import { compile } from './knowledge/compile.ts'
import { coverageOf } from './knowledge/coverage.ts'
import { readKnowledge } from './knowledge/load.ts'
import { reportCoverage, reportProblems } from './knowledge/report.ts'

const { values } = parseArgs({ options: { json: { type: 'boolean', default: false } } })
const dir = process.env.KNOWLEDGE_DIR || 'knowledge'
const read = readKnowledge(dir)
const compiled = compile(read.files)
const problems = [...read.problems, ...compiled.problems]
const coverage = compiled.knowledge && coverageOf(compiled.knowledge)

if (values.json) console.log(JSON.stringify({ problems, coverage }, null, 2))
else {
  console.log(reportProblems(problems))
  if (coverage) console.log(`\n${reportCoverage(coverage)}`)
}
process.exitCode = problems.some(problem => problem.severity === 'error') ? 1 : 0
