// The few ways a request can go wrong that are the visitor's business. Anything else is ours: logged, and shown neutrally.

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
