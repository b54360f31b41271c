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

/** The default of a switch that names every kind: the compiler refuses the call when one is missing. */
export function unreachable(value: never): never {
  throw new Error(`${JSON.stringify(value)} is not one of the kinds expected here.`)
}
