// What can be brought in, and which columns each wants.

import { happened, onPublicRecord, putInPlace, type Sense, takenAway } from '../times.ts'

export const subjects = ['sites', 'positions', 'units', 'past faults', 'temperatures'] as const
export type Subject = (typeof subjects)[number]

export interface Field {
  name: string
  title: string
  about: string
  required: boolean
  /** Wanted for what is not on record yet. */
  forNew?: boolean
  /** Where the file has no such column, one value may be said for all its rows. */
  mayBeFixed?: boolean
  /** A day is a date without a time; a temperature is in °C. */
  kind: 'text' | 'date' | 'day' | 'temperature' | 'yes or no' | 'fact'
  /** Which days a date takes. */
  sense: Sense
  /** Other names a depot's column may have, in small letters. */
  alike: string[]
}

const field = (
  name: string,
  title: string,
  about: string,
  alike: string[],
  more: Partial<Field> = {},
): Field => ({ name, title, about, alike, required: false, kind: 'text', sense: happened, ...more })
const needed = { required: true }
const fixed = { mayBeFixed: true }
const plate = (about: string, more: Partial<Field>) =>
  field(
    'plate',
    'Plate',
    about,
    ['plate', 'plate code', 'plate no', 'asset', 'asset no', 'equipment no', 'id'],
    more,
  )

const fields: Record<Subject, Field[]> = {
  sites: [
    field('name', 'Name', 'The site; its name tells it apart.', ['site', 'site name', 'location'], needed),
    field('line', 'Line', 'The line it lies on.', ['route', 'line of route', 'elr'], fixed),
    field('mileage', 'Mileage', 'As written.', ['miles', 'chainage', 'km', 'kilometre', 'distance']),
    field('access', 'Way in', 'How to get there.', ['access', 'access point', 'directions']),
  ],
  positions: [
    plate('The code on the equipment’s plate; it tells the position apart.', needed),
    field('site', 'Site', 'Name of a site on record.', ['site name', 'location'], { ...needed, ...fixed }),
    field(
      'name',
      'Name',
      'What the position is called at its site.',
      ['position', 'description', 'signal'],
      needed,
    ),
    field(
      'equipment',
      'Equipment',
      'Kind of equipment, as the fault trees name it.',
      ['kind', 'type', 'equipment kind', 'equipment type'],
      { ...needed, ...fixed },
    ),
    field(
      'indicated',
      'Failure shown',
      'Whether a failure is shown to the signaller.',
      ['indicated', 'alarmed', 'indication'],
      { kind: 'yes or no', forNew: true, ...fixed },
    ),
    field(
      'inService',
      'In service since',
      'A date.',
      ['in service', 'commissioned', 'installed', 'date installed'],
      { kind: 'date', sense: putInPlace, forNew: true, ...fixed },
    ),
    field(
      'outOfService',
      'Out of service since',
      'A date.',
      ['out of service', 'removed', 'decommissioned'],
      { kind: 'date', sense: takenAway },
    ),
  ],
  units: [
    field(
      'kind',
      'Kind',
      'Kind of unit, as the fault trees name it.',
      ['type', 'unit', 'unit type', 'module'],
      { ...needed, ...fixed },
    ),
    field(
      'serial',
      'Serial number',
      'With its kind it tells the unit apart.',
      ['serial', 'serial no', 's/n', 'sn', 'ser no'],
      needed,
    ),
    field('variant', 'Variant', 'As the fault trees name it.', ['variant', 'model', 'version', 'mod'], {
      ...needed,
      ...fixed,
    }),
    plate('Plate of the position where it is fitted now.', {}),
    field('fittedAt', 'Fitted on', 'A date.', ['fitted', 'date fitted', 'installed', 'fitted date'], {
      kind: 'date',
      sense: putInPlace,
      ...fixed,
    }),
  ],
  'past faults': [
    plate('Plate of the position.', needed),
    field(
      'reportedAt',
      'Reported',
      'When, with the time in this column or the next.',
      ['reported at', 'date', 'date reported', 'fault date', 'reported on', 'date/time'],
      { ...needed, kind: 'date' },
    ),
    field('reportedTime', 'Time reported', 'Where the time has a column of its own.', [
      'time',
      'time reported',
      'fault time',
    ]),
    field(
      'symptom',
      'Symptom',
      'What was noticed; each kind of words is matched to a fault tree.',
      ['fault', 'failure', 'description', 'fault description', 'problem'],
      { ...needed, ...fixed },
    ),
    field(
      'closedAt',
      'Put right',
      'When the fault was put right.',
      ['closed', 'date closed', 'rectified', 'date rectified', 'completed', 'closed at'],
      { kind: 'date' },
    ),
    field('closedTime', 'Time put right', 'Where the time has a column of its own.', [
      'time closed',
      'time rectified',
    ]),
    field('cause', 'Cause', 'What was wrong; each kind of words is matched to a cause.', [
      'root cause',
      'cause found',
      'found',
      'finding',
    ]),
    field('words', 'What was done', 'In words.', [
      'action',
      'action taken',
      'remedy',
      'work done',
      'remarks',
      'notes',
      'comments',
    ]),
    field(
      'reportedBy',
      'Reported by',
      'A post, such as “signaller”.',
      ['reporter', 'raised by', 'reported by'],
      fixed,
    ),
    field(
      'protection',
      'Protection',
      'kept, lost or not known.',
      ['protection lost', 'wrong side', 'failure type'],
      fixed,
    ),
    field(
      'reference',
      'Reference',
      'The depot’s own number of the fault; with it, a second import knows the fault again.',
      ['ref', 'fault no', 'fault number', 'number', 'log no', 'incident', 'job no', 'no', 'no.'],
    ),
    field(
      'temperature',
      'Temperature',
      'Of the air at the fault, in °C.',
      ['temp', 'air temperature', 'temperature °C', 'outside temperature'],
      { kind: 'temperature' },
    ),
  ],
  temperatures: [
    field('day', 'Day', 'One row a day, of the depot’s calendar.', ['date', 'on'], {
      ...needed,
      kind: 'day',
      sense: onPublicRecord,
    }),
    field(
      'lowest',
      'Lowest',
      'The day’s lowest air temperature, in °C.',
      ['min', 'minimum', 'low', 'tmin', 'tn', 'min temp', 'minimum temperature', 'lowest temperature'],
      { ...needed, kind: 'temperature' },
    ),
    field(
      'highest',
      'Highest',
      'The day’s highest air temperature, in °C.',
      ['max', 'maximum', 'high', 'tmax', 'tx', 'max temp', 'maximum temperature', 'highest temperature'],
      { ...needed, kind: 'temperature' },
    ),
  ],
}

/** `facts`: what the positions of the equipment kinds in use have; each may be a column. */
export function fieldsOf(
  subject: Subject,
  facts: { name: string; meaning: string; unit: string | null }[] = [],
): Field[] {
  if (subject !== 'positions') return fields[subject]
  const factFields = facts.map(({ name, meaning, unit }) =>
    field(`fact:${name}`, name, unit ? `${meaning}, in ${unit}` : meaning, [], { kind: 'fact' }),
  )
  return [...fields.positions, ...factFields]
}

/** For each field the column whose name says it, as its number from 0; each column is taken once. */
export function guessColumns(wanted: Field[], header: string[]): Record<string, number> {
  const plain = header.map(bare)
  const taken = new Set<number>()
  const columns: Record<string, number> = {}
  const namesOf = (one: Field) => [one.title, one.name, ...one.alike].map(bare)
  // What a column is called outright comes before what it is merely like.
  for (let rank = 0; rank < 40; rank += 1) {
    for (const one of wanted) {
      const name = namesOf(one)[rank]
      const at = plain.findIndex((text, n) => text !== '' && text === name && !taken.has(n))
      if (at < 0 || columns[one.name] !== undefined) continue
      columns[one.name] = at
      taken.add(at)
    }
  }
  return columns
}

/** Letters and digits in small: "Date (reported)" and "date_reported" are the same. */
export function bare(text: string): string {
  return text
    .toLowerCase()
    .replace(/\([^)]*\)/g, ' ')
    .replace(/[^\p{L}\p{N}]+/gu, ' ')
    .trim()
}
