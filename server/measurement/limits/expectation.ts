// What a reading is held against: parsed when the knowledge is compiled, resolved at a position.

export { checkDimensions, expectationUnit, isConstant, namesOf } from './expectation-check.ts'
export { type ParsedExpectation, parseExpectation } from './limit-text.ts'
export { contains, type Expectation, type Nothing, type Range } from './range.ts'
export { type Resolved, resolveConstant, resolveRange } from './resolve.ts'
