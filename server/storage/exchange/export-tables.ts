// The tables that can be taken out, and what a column holds where its name alone does not say it.

import { type ExportedTable, tablesOfPeople } from './export-tables-of-people.ts'

const readingText = { text: 'As typed or seen: the raw reading, or the word observed' }

/** In the order they are shown. */
export const exportedTables: Record<string, ExportedTable> = {
  sites: {
    about: 'Places on the railway',
    columns: { line: 'Line', mileage: 'Mileage, as written', access: 'Way in' },
  },
  positions: {
    about: 'Working places of equipment',
    columns: {
      indicated: 'Whether a failure is shown to the signaller',
      in_service: 'In service since',
      out_of_service: 'Out of service since',
    },
  },
  position_facts: {
    about: 'Facts of each position',
    columns: {
      fact: 'Name of the fact',
      value: 'As written: the raw value',
    },
  },
  place_changes: {
    about: 'What was changed of sites and positions by hand',
    columns: {
      at: 'When',
      by: 'By whom: id in people',
      subject: 'A site or a position',
      key: 'Its id',
      why: 'Why',
      was: 'What differs, as it was, as data',
      became: 'The same as it became, as data',
    },
  },
  units: { about: 'Serialised items' },
  fittings: { about: 'Where each unit was when', columns: { fitted_at: 'Fitted', removed_at: 'Taken out' } },
  workshop_visits: {
    about: 'What the workshop found',
    columns: { at: 'When the workshop said so', result: 'Result' },
  },
  faults: {
    about: 'Faults reported',
    columns: {
      symptom: 'Symptom',
      reported_at: 'When it was reported',
      reported_by: 'By whom, in words',
      recorded_by: 'Who entered it: id in people',
      recorded_at: 'When it was entered',
      noticed: 'What was noticed, in their words',
      protection: 'Whether protection was kept',
      intermittent: 'Whether it comes and goes',
    },
  },
  fault_numbers: { about: 'The short number of each fault', columns: { number: 'As said on the phone' } },
  imported_faults: {
    about: 'Which faults came from a spreadsheet, and its own words',
    columns: {
      line: 'Line of the file',
      reference: 'The depot’s own number',
      symptom: 'Symptom in the file’s words',
      cause: 'Cause in the file’s words',
      closed_known:
        'Whether the file said when it was put right; if not, the closure has the time of the report',
    },
  },
  conditions: {
    about: 'When a symptom shows itself, and how cold it was',
    columns: {
      name: 'Condition',
      value: 'What it was, as written',
      celsius: 'Of a temperature its number, in °C; empty where it was written in words',
    },
  },
  attendances: {
    about: 'Technicians’ times at a fault',
    columns: {
      started_at: 'Begun',
      seen_history_at: 'When the history was read',
      spoken_to: 'Who was spoken to',
      protection_words: 'Protection from trains, in words',
      isolation_words: 'What was isolated, in words',
      expected_finish: 'Latest finish agreed',
      handover_id: 'The handover it began by: id in handovers',
      ended_at: 'Ended',
      ended_how: 'How it ended',
      ended_words: 'Why it was taken over',
    },
  },
  findings: {
    about: 'What was found at each check',
    columns: {
      ...readingText,
      flag: 'Another check chosen as suggested, or a cause ruled out after it was mended',
    },
  },
  disturbances: { about: 'What was taken off, out or across by hand', columns: { item: 'What' } },
  restorations: { about: 'What was put back' },
  repairs: {
    about: 'What was done about a cause',
    columns: {
      action: 'What was done',
      swap: 'Units changed, as data',
      fuse: 'What blew a fuse and its load, as data',
    },
  },
  proofs: {
    about: 'What proves a repair',
    columns: { ...readingText, round: 'Repairs before it', passed: 'Whether it passed' },
  },
  identities: {
    about: 'Plates read',
    columns: { typed: 'As read', matched: 'Whether it was the right one' },
  },
  hold_releases: { about: 'Evidence released' },
  handovers: { about: 'Faults handed over', columns: { next_step: 'What is to be done next' } },
  handover_items: {
    about: 'What the incoming technician confirms',
    columns: { key: 'Key of the item', place: 'Order', text: 'What' },
  },
  handover_withdrawals: { about: 'Faults taken back after they were handed over' },
  taken_over_items: {
    about: 'What stood disturbed when a fault was taken over, confirmed one by one',
    columns: { key: 'Key of the item', place: 'Order', text: 'What' },
  },
  handover_confirmations: { about: 'What was confirmed', columns: { key: 'Key of the item' } },
  closures: {
    about: 'How faults ended',
    columns: {
      at: 'When it was closed',
      by: 'Who closed it, or brought it in: id in people',
      outcome: 'Outcome',
      cleared_itself: 'Whether it cleared itself',
      changed: 'What was changed',
      tests_after_work: 'Tests after work that passed, and by whom, as JSON',
      told: 'Who was told that it is back, when, and what they said, as data',
    },
  },
  signatures: {
    about: 'Who signed what',
    columns: {
      printed_name: 'Name',
      meaning: 'What signing says',
      content_hash: 'SHA-256 of what was signed',
      unseen: 'Ids of what was on record and not on the tablet where it was signed, as JSON',
    },
  },
  engineer_notes: {
    about: 'Engineers’ notes on faults',
    columns: { settled: 'Whether it settles the fault' },
  },
  delays: {
    about: 'Delay each fault caused; the newest row counts',
    columns: { minutes: 'Minutes of delay' },
  },
  suggestions: {
    about: 'Suggested checks and whether they were followed',
    columns: { saves: 'Minutes it was expected to save', followed: 'Whether it was followed' },
  },
  photos: {
    about: 'Photographs taken at a fault, without the pictures',
    columns: { type: 'Kind of picture', bytes: 'Size in bytes', words: 'What it shows' },
  },
  visits: { about: 'Maintenance rounds', columns: { at: 'Begun', plate: 'Plate as read' } },
  visit_findings: { about: 'What was found on rounds', columns: readingText },
  visit_restorations: { about: 'What was put back on rounds' },
  visit_ends: {
    about: 'How rounds ended',
    columns: { at: 'Ended', fault_id: 'The fault found: id in faults, once it is reported' },
  },
  visit_intervals: { about: 'How often each kind of equipment is to be seen healthy' },
  check_readings: {
    about: 'Every reading of each check at each position, in order of time, worked out of the tables above',
    columns: {
      at: 'When it was read',
      id: 'id in findings, proofs or visit_findings',
      resolution: 'Last digit of the meter, in the unit of value',
      min: 'Lower limit as it was then',
      max: 'Upper limit as it was then',
      after_work: 'Whether it proves a repair',
    },
  },
  instruments: { about: 'Instruments', columns: { functions: 'What it can measure and how well, as data' } },
  calibrations: {
    about: 'Calibrations',
    columns: { instrument_id: 'id in instruments', recorded_at: 'When it was entered', due: 'Due' },
  },
  reviews: { about: 'Reviews of repeat faults', columns: { why: 'Why it was opened' } },
  review_entries: {
    about: 'Each state of a review',
    columns: {
      owner: 'Who has it: id in people',
      cause: 'Suspected cause, in words',
      action: 'What is to be done',
      due: 'By when',
      done_on: 'When it was done',
      result: 'What came of it',
      closed: 'Whether it is closed',
    },
  },
  unit_holds: {
    about: 'Units kept apart so that nobody fits them, and released',
    columns: { unit_id: 'id in units', state: 'Kept apart or released from then on', reason: 'Why' },
  },
  planned_changes: {
    about: 'Units taken out, fitted or moved where there was no fault',
    columns: {
      unit_id: 'id in units',
      position_id: 'Where it went: id in positions; empty: taken out',
      recorded_at: 'When it was entered',
    },
  },
  known_spans: {
    about: 'From when until when a record is whole, as an engineer said',
    columns: {
      kind: 'Kind of record',
      source: '“here”, or id in imports',
      since: 'First whole day',
      until: 'Last whole day; empty while it is kept',
      words: 'How that is known',
    },
  },
  repeat_windows: { about: 'What counts as a repeat', columns: { faults: 'So many within the days' } },
  imports: {
    about: 'Files brought in',
    columns: {
      subject: 'What it held',
      file_name: 'Name of the file',
      columns: 'Which column was taken for what, and how it was read, as data',
      added: 'New rows',
      changed: 'Rows that changed something',
      same: 'Rows on record already',
      left_out: 'Bad rows left out',
    },
  },
  undone_imports: {
    about: 'Imports that were taken back whole',
    columns: { import_id: 'The import', at: 'When', by: 'By whom: id in people', why: 'Why' },
  },
  given_up_imports: {
    about: 'Which of them came to nothing; their rows are gone',
    columns: { at: 'When that was', why: 'Why' },
  },
  daily_temperatures: {
    about: 'How cold and how warm each day was',
    columns: {
      day: 'Day of the depot’s calendar',
      lowest: 'Lowest air temperature of the day, in °C',
      highest: 'Highest air temperature of the day, in °C',
      line: 'Line of the file',
    },
  },
  ...tablesOfPeople,
}

/** Why a table cannot be taken out. */
export const keptIn: Record<string, string> = {
  sessions: 'who is signed in now',
  setup_codes: 'secrets',
  not_in_force: 'what an import under way has written: it is taken out once it is in force',
  shifts: 'the keys of tablets that carry a shift',
  sent_forms: 'forms as they were sent: what they said stands in the other tables',
  open_faults: 'faults without a closure: they stand in faults and closures',
  doubtful_faults: 'closed in doubt and not settled: they stand in closures and engineer_notes',
  proved_repairs: 'closures with a proven cause: they stand in closures',
  migrations: 'the shape of the database, not the depot’s data',
}
