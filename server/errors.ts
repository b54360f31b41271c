// The ways a request can fail that the visitor can do something about. Any other error is a fault of the program: it is
// logged, and the visitor is shown a neutral sentence.

export type ErrorCode =
  | 'invalid'
  | 'signed out'
  | 'forbidden'
  | 'not found'
  | 'conflict'
  | 'too large'
  | 'too many'
  | 'unavailable'

export class AppError extends Error {
  readonly code: ErrorCode

  /** `message` is shown to the visitor: a plain sentence that says what to do. */
  constructor(code: ErrorCode, message: string) {
    super(message)
    this.code = code
  }
}

export const httpStatus: Record<ErrorCode, number> = {
  invalid: 400,
  'signed out': 401,
  forbidden: 403,
  'not found': 404,
  conflict: 409,
  'too large': 413,
  'too many': 429,
  unavailable: 503,
}

/**
 * For the last branch of a `switch` or chain over kinds: does not compile while
 * a kind is left that has no branch of its own. A `switch` whose branches all
 * return needs none, as the compiler finds the missing one itself.
 */
export function assertNever(kind: never): never {
  throw new Error(`A kind without a branch: ${JSON.stringify(kind)}`)
}
