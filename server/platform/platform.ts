// What the code that both hosts share reaches of its host: the server (node.ts) or a service worker (worker.ts). Import
// the functions from '#platform'; package.json chooses the file, by the condition `worker`.

export interface Platform {
  /** SHA-256 (FIPS 180-4) of the bytes, or of the text in UTF-8; hexadecimal, in small letters. */
  sha256(content: string | Uint8Array): string
  /** Cryptographically strong; at most 65 536 bytes at once. */
  randomBytes(count: number): Uint8Array
  /** A random UUID, version 4 (RFC 9562). */
  randomId(): string
  /** base64url (RFC 4648, section 5), without padding. */
  base64Url(bytes: Uint8Array): string
  utf8(text: string): Uint8Array
  /** Whether two byte strings are the same, in a time that depends on their lengths alone. */
  sameBytes(a: Uint8Array, b: Uint8Array): boolean
  /** Runs `task` when this turn of the event loop is over: after all promises that are settled by then. */
  atEndOfTurn(task: () => void): void
  createAsyncContext<T>(): AsyncContext<T>
}

/** A value that belongs to an asynchronous function through all its waits. */
export interface AsyncContext<T> {
  /** Runs `task` with `value`; gives what it gives, and fails as it fails. */
  run<R>(value: T, task: () => Promise<R>): Promise<R>
  /** The value of the task that is running now; undefined outside all tasks. */
  current(): T | undefined
}
