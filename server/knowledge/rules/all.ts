// Every rule, in the stage it belongs to. Each is a function named for what it reports.

import type { Problem } from '../problem.ts'
import type { Draft } from '../read/draft.ts'
import type { SourceFile } from '../types.ts'
import { accessUnknown } from './access-unknown.ts'
import { bandWithFormula } from './band-with-formula.ts'
import { betweenDiffers } from './between-differs.ts'
import { causeEarly } from './cause-early.ts'
import { causeNoProof } from './cause-no-proof.ts'
import { causeNoRemedy } from './cause-no-remedy.ts'
import { causeUnreached } from './cause-unreached.ts'
import { cautionLate } from './caution-late.ts'
import { cautionMissing } from './caution-missing.ts'
import { stepNoWayOn } from './check-no-way-on.ts'
import { stepUnreachable } from './check-unreachable.ts'
import { circle } from './circle.ts'
import type { GraphContext, LinkContext } from './context.ts'
import { endUnreached } from './end-unreached.ts'
import { exampleFails } from './example-fails.ts'
import { expectMissing } from './expect-missing.ts'
import { expectationUnreadable } from './expectation-unreadable.ts'
import { factUnknown } from './fact-unknown.ts'
import { fileEmpty } from './file-empty.ts'
import { fileNotUtf8 } from './file-not-utf8.ts'
import { fileOutside } from './file-outside.ts'
import { fileTooDeep } from './file-too-deep.ts'
import { fileTooLarge } from './file-too-large.ts'
import { formulaNameUnknown } from './formula-name-unknown.ts'
import { formulaWrong } from './formula-wrong.ts'
import { headingDuplicate } from './heading-duplicate.ts'
import { keyMissing } from './key-missing.ts'
import { keyRepeated } from './key-repeated.ts'
import { keyUnknown } from './key-unknown.ts'
import { keyValue } from './key-value.ts'
import { limitUnknown } from './limit-unknown.ts'
import { linkTargetUnknown } from './link-target-unknown.ts'
import { linkTargetWrong } from './link-target-wrong.ts'
import { measureOrObserve } from './measure-or-observe.ts'
import { meterUnit } from './meter-unit.ts'
import { nameDuplicate } from './name-duplicate.ts'
import { notPutBack } from './not-put-back.ts'
import { quoteUnmarked } from './quote-unmarked.ts'
import { rangeImpossible } from './range-impossible.ts'
import { rawHtml } from './raw-html.ts'
import { roleMissing } from './role-missing.ts'
import { roleQuantity } from './role-quantity.ts'
import { roleRepeated } from './role-repeated.ts'
import { roleUnknown } from './role-unknown.ts'
import { rowNever } from './row-never.ts'
import { rowNoWayOn } from './row-no-way-on.ts'
import { rowsGap } from './rows-gap.ts'
import { rowsOverlap } from './rows-overlap.ts'
import { sectionUnknown } from './section-unknown.ts'
import { sentenceLong } from './sentence-long.ts'
import { sourceMissing } from './source-missing.ts'
import { tableColumns } from './table-columns.ts'
import { tableMisplaced } from './table-misplaced.ts'
import { tableTooLong } from './table-too-long.ts'
import { terminalSealed } from './terminal-sealed.ts'
import { terminalUnknown } from './terminal-unknown.ts'
import { testCauseUnknown } from './test-cause-unknown.ts'
import { testerUnknown } from './tester-unknown.ts'
import { titleMissing } from './title-missing.ts'
import { twoCommands } from './two-commands.ts'
import { unitKindUnknown } from './unit-kind-unknown.ts'
import { unitUnknown } from './unit-unknown.ts'
import { vagueCommand } from './vague-command.ts'

/** Is the file one that can be read at all? The first problem of a file is enough. */
export const fileRules: ((file: SourceFile) => Problem[])[] = [
  fileOutside,
  fileTooLarge,
  fileEmpty,
  fileNotUtf8,
  fileTooDeep,
]

/** The form of one file. */
export const formRules: ((draft: Draft) => Problem[])[] = [
  titleMissing,
  sectionUnknown,
  headingDuplicate,
  nameDuplicate,
  keyUnknown,
  keyRepeated,
  keyMissing,
  keyValue,
  tableColumns,
  tableMisplaced,
  tableTooLong,
  roleUnknown,
  roleRepeated,
  rawHtml,
  quoteUnmarked,
  cautionLate,
  measureOrObserve,
  expectMissing,
  stepNoWayOn,
  rowNoWayOn,
  causeNoRemedy,
  causeNoProof,
  sentenceLong,
  twoCommands,
  vagueCommand,
]

/** The names in all files. */
export const linkRules: ((context: LinkContext) => Problem[])[] = [
  linkTargetUnknown,
  linkTargetWrong,
  terminalUnknown,
  terminalSealed,
  betweenDiffers,
  limitUnknown,
  factUnknown,
  unitKindUnknown,
  testCauseUnknown,
  testerUnknown,
  accessUnknown,
  unitUnknown,
  expectationUnreadable,
  formulaNameUnknown,
  formulaWrong,
  rangeImpossible,
  sourceMissing,
  cautionMissing,
]

/** The paths through the linked trees. */
export const graphRules: ((context: GraphContext) => Problem[])[] = [
  roleQuantity,
  meterUnit,
  roleMissing,
  bandWithFormula,
  rowsGap,
  rowsOverlap,
  rowNever,
  stepUnreachable,
  endUnreached,
  circle,
  causeUnreached,
  causeEarly,
  notPutBack,
  exampleFails,
]
