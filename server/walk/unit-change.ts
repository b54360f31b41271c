// A unit change held against what is on record: each difference is a question, since a slip of the finger and a wrong
// record look the same.

export interface UnitChange {
  kind: string
  serialOut: string
  serialIn: string
  variantIn: string
  settings: { name: string; asFound: string; asLeft: string }[]
}

/** What is on record of a unit by its serial number. */
export interface UnitOnRecord {
  serial: string
  variant: string
  /** Where it is fitted by the record, in words; null when nowhere. */
  place: string | null
}

export interface Records {
  /** The unit of the kind that is fitted here by the record. */
  here: UnitOnRecord | null
  /** The units with the serial numbers that were read. */
  out: UnitOnRecord | null
  into: UnitOnRecord | null
}

export interface Difference {
  /** The same for the same values only, so that another value is asked about anew. */
  key: string
  /** What stands against what was read, in a sentence. */
  says: string
  /** The answer that keeps what was read. */
  yes: string
}

/** What differs, in the order of the form. */
export function differences(change: UnitChange, records: Records): Difference[] {
  return [...ofOut(change, records), ...ofIn(change, records), ...ofSettings(change)]
}

/** Whether two serial numbers are one, whatever the capitals and spaces. */
export function sameSerial(a: string, b: string): boolean {
  return plain(a) === plain(b)
}

function ofOut({ kind, serialOut }: UnitChange, { here, out }: Records): Difference[] {
  const key = `out ${serialOut}`
  const yes = `Yes, the label of the unit taken out says ${serialOut}`
  if (here && !sameSerial(here.serial, serialOut))
    return [{ key, says: `The ${kind} on record here is ${here.serial}. You read ${serialOut}.`, yes }]
  if (!here && out?.place) return [{ key, says: `${serialOut} is on record as fitted at ${out.place}.`, yes }]
  return []
}

function ofIn({ serialIn, variantIn }: UnitChange, { here, into }: Records): Difference[] {
  const found: Difference[] = []
  if (into?.place)
    found.push({
      key: `in ${serialIn}`,
      says: `${serialIn} is on record as fitted at ${into.place}.`,
      yes: `Yes, the label of the new unit says ${serialIn}`,
    })
  const yes = `Yes, the label of the new unit says ${variantIn}`
  if (into && into.variant !== '' && !same(into.variant, variantIn))
    found.push({
      key: `variant ${serialIn} ${variantIn}`,
      says: `${serialIn} is on record as ${into.variant}. You chose ${variantIn}.`,
      yes,
    })
  else if (here && here.variant !== '' && !same(here.variant, variantIn))
    found.push({
      key: `variant ${variantIn}`,
      says: `By the record ${here.variant} was fitted here, and ${variantIn} goes in. Like for like is the rule.`,
      yes,
    })
  return found
}

function ofSettings({ settings }: UnitChange): Difference[] {
  return settings
    .filter(({ asFound, asLeft }) => !same(asFound, asLeft))
    .map(({ name, asFound, asLeft }) => ({
      key: `setting ${name} ${asFound} ${asLeft}`,
      says: `${name}: the old unit had ${asFound}, the new one is left at ${asLeft}.`,
      yes: `Yes, ${asLeft} is right for the new unit`,
    }))
}

function plain(text: string): string {
  return text.replace(/\s+/g, '').toLowerCase()
}

function same(a: string, b: string): boolean {
  return plain(a) === plain(b)
}
