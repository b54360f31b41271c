// Every check, in the stage it belongs to.

import type { Problem } from '../problem.ts'
import type { Draft } from '../read/draft.ts'
import type { SourceFile } from '../types.ts'
import { checkAccessUnknown } from './access-unknown.ts'
import { checkBandWithFormula } from './band-with-formula.ts'
import { checkCauseNoProof } from './cause-no-proof.ts'
import { checkCauseNoRemedy } from './cause-no-remedy.ts'
import { checkCauseUnreached } from './cause-unreached.ts'
import { checkCautionLate } from './caution-late.ts'
import { checkCautionMissing } from './caution-missing.ts'
import { checkNoWayOn } from './check-no-way-on.ts'
import { checkCheckUnreachable } from './check-unreachable.ts'
import { checkCircle } from './circle.ts'
import type { GraphContext, LinkContext } from './context.ts'
import { checkEndUnreached } from './end-unreached.ts'
import { checkExampleFails } from './example-fails.ts'
import { checkExpectMissing } from './expect-missing.ts'
import { checkExpectationUnreadable } from './expectation-unreadable.ts'
import { checkFactUnknown } from './fact-unknown.ts'
import { checkFileEmpty } from './file-empty.ts'
import { checkFileNotUtf8 } from './file-not-utf8.ts'
import { checkFileOutside } from './file-outside.ts'
import { checkFileTooDeep } from './file-too-deep.ts'
import { checkFileTooLarge } from './file-too-large.ts'
import { checkFormulaNameUnknown } from './formula-name-unknown.ts'
import { checkFormulaWrong } from './formula-wrong.ts'
import { checkHeadingDuplicate } from './heading-duplicate.ts'
import { checkKeyMissing } from './key-missing.ts'
import { checkKeyRepeated } from './key-repeated.ts'
import { checkKeyUnknown } from './key-unknown.ts'
import { checkKeyValue } from './key-value.ts'
import { checkLimitUnknown } from './limit-unknown.ts'
import { checkLinkTargetUnknown } from './link-target-unknown.ts'
import { checkLinkTargetWrong } from './link-target-wrong.ts'
import { checkMeasureOrObserve } from './measure-or-observe.ts'
import { checkNameDuplicate } from './name-duplicate.ts'
import { checkNotPutBack } from './not-put-back.ts'
import { checkQuoteUnmarked } from './quote-unmarked.ts'
import { checkRangeImpossible } from './range-impossible.ts'
import { checkRawHtml } from './raw-html.ts'
import { checkRowNever } from './row-never.ts'
import { checkRowNoWayOn } from './row-no-way-on.ts'
import { checkRowsGap } from './rows-gap.ts'
import { checkRowsOverlap } from './rows-overlap.ts'
import { checkSectionUnknown } from './section-unknown.ts'
import { checkSentenceLong } from './sentence-long.ts'
import { checkSourceMissing } from './source-missing.ts'
import { checkTableColumns } from './table-columns.ts'
import { checkTableMisplaced } from './table-misplaced.ts'
import { checkTableTooLong } from './table-too-long.ts'
import { checkTerminalSealed } from './terminal-sealed.ts'
import { checkTerminalUnknown } from './terminal-unknown.ts'
import { checkTitleMissing } from './title-missing.ts'
import { checkTwoCommands } from './two-commands.ts'
import { checkUnitKindUnknown } from './unit-kind-unknown.ts'
import { checkUnitUnknown } from './unit-unknown.ts'
import { checkVagueCommand } from './vague-command.ts'

/** Is the file one that can be read at all? The first problem of a file is enough. */
export const fileChecks: ((file: SourceFile) => Problem[])[] = [
  checkFileOutside,
  checkFileTooLarge,
  checkFileEmpty,
  checkFileNotUtf8,
  checkFileTooDeep,
]

/** The form of one file. */
export const formChecks: ((draft: Draft) => Problem[])[] = [
  checkTitleMissing,
  checkSectionUnknown,
  checkHeadingDuplicate,
  checkNameDuplicate,
  checkKeyUnknown,
  checkKeyRepeated,
  checkKeyMissing,
  checkKeyValue,
  checkTableColumns,
  checkTableMisplaced,
  checkTableTooLong,
  checkRawHtml,
  checkQuoteUnmarked,
  checkCautionLate,
  checkMeasureOrObserve,
  checkExpectMissing,
  checkNoWayOn,
  checkRowNoWayOn,
  checkCauseNoRemedy,
  checkCauseNoProof,
  checkSentenceLong,
  checkTwoCommands,
  checkVagueCommand,
]

/** The names in all files. */
export const linkChecks: ((context: LinkContext) => Problem[])[] = [
  checkLinkTargetUnknown,
  checkLinkTargetWrong,
  checkTerminalUnknown,
  checkTerminalSealed,
  checkLimitUnknown,
  checkFactUnknown,
  checkUnitKindUnknown,
  checkAccessUnknown,
  checkUnitUnknown,
  checkExpectationUnreadable,
  checkFormulaNameUnknown,
  checkFormulaWrong,
  checkRangeImpossible,
  checkSourceMissing,
  checkCautionMissing,
]

/** The paths through the linked trees. */
export const graphChecks: ((context: GraphContext) => Problem[])[] = [
  checkBandWithFormula,
  checkRowsGap,
  checkRowsOverlap,
  checkRowNever,
  checkCheckUnreachable,
  checkEndUnreached,
  checkCircle,
  checkCauseUnreached,
  checkNotPutBack,
  checkExampleFails,
]
