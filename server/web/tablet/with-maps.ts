// JSON that knows maps: compiled knowledge is plain data but for them.

const mark = '$map'

/** The JSON text of plain data and maps. */
export function toText(value: unknown): string {
  return JSON.stringify(value, (_, part) => (part instanceof Map ? { [mark]: [...part] } : part))
}

/** What `toText` was given. */
export function fromText(text: string): unknown {
  return JSON.parse(text, (_, part) => (isMap(part) ? new Map(part[mark]) : part))
}

function isMap(part: unknown): part is { [mark]: [unknown, unknown][] } {
  return typeof part === 'object' && part !== null && mark in part
}
