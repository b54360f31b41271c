// A reading as the meter showed it, parsed once at the edge.

/** Values are in the base unit of their kind ("V AC", "ohm", "A", "m"), never in a prefixed one. */
export type Reading =
  /** `resolution` is one count of the last digit typed, in the same unit. */
  | { kind: 'value'; value: number; resolution: number; unit: string }
  /** Over the meter's range: `OL`, "open". */
  | { kind: 'open'; unit: string }
  /** Nothing there: "none", "no reading". */
  | { kind: 'none'; unit: string }
  /** `>50` */
  | { kind: 'more than'; value: number; unit: string }
  /** `<0.1`, below what the meter can show. */
  | { kind: 'less than'; value: number; unit: string }
  /** `92-104`: wandered between two values. */
  | { kind: 'unstable'; low: number; high: number; resolution: number; unit: string }

/** What came of reading the typed text. `ask` wants a choice from the technician, not an error. */
export type ParsedReading =
  | { ok: true; reading: Reading; echo: string }
  | { ok: false; ask: { question: string; choices: { text: string; means: string }[] } }
  | { ok: false; error: string }
