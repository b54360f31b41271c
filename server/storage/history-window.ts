/** Milliseconds since 1970; the end is not included. */
export interface Span {
  fromMs: number
  toMs: number
}

/** Stored times are UTC text whose order is the order of time, so a window is two texts. */
export function bounds({ fromMs, toMs }: Span): { from: string; to: string } {
  return { from: new Date(fromMs).toISOString(), to: new Date(toMs).toISOString() }
}
