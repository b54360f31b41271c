// Who works with the program, what they write for the fault trees, and the trail of it all.

export interface ExportedTable {
  about: string
  columns?: Record<string, string>
}

export const tablesOfPeople: Record<string, ExportedTable> = {
  people: {
    about: 'People, without their PINs and passwords',
    columns: {
      role: 'Role',
      created_at: 'Since when',
      given: 'What somebody else chose for them and they are to change',
    },
  },
  tablets: {
    about: 'Enrolled tablets, without their keys',
    columns: {
      enrolled_at: 'Enrolled',
      enrolled_by: 'By whom: id in people',
      revoked_at: 'Revoked',
      revoked_by: 'By whom: id in people',
      seen_at: 'When it last told its time',
      clock_ahead_ms: 'Milliseconds its clock was ahead then',
    },
  },
  late_acts: {
    about: 'Forms that a tablet recorded without signal, as they arrived',
    columns: {
      shift_id: 'Shift on the tablet',
      seq: 'Its number in that shift',
      path: 'Where the form was sent',
      fields: 'What it said, as JSON',
      done_at: 'When it was done',
      clock_ahead_ms: 'Milliseconds the tablet’s clock was ahead when last compared',
      arrived_at: 'When it arrived',
      apart: 'Why it could not be recorded as it was sent; empty when it was',
      beside: 'What was on record by then that the tablet did not know of',
      changes: 'What it changes, a sentence a line',
    },
  },
  editions: {
    about: 'Editions of the fault trees',
    columns: { published_at: 'Published', published_by: 'By whom: id in people' },
  },
  edition_files: { about: 'The files of each edition' },
  publications: {
    about: 'When which edition came into use',
    columns: { folder_id: 'The folder as it was then: id in editions' },
  },
  drafts: {
    about: 'What authors write at',
    columns: {
      begun_at: 'Begun',
      begun_by: 'By whom: id in people',
      ended_at: 'Ended',
      ended_how: 'How it ended',
    },
  },
  draft_texts: {
    about: 'Each saved text of a draft',
    columns: { pause: 'Saved at a pause', aside: 'Saved beside another', settled_at: 'When it was settled' },
  },
  proposals: { about: 'Changes proposed for the fault trees' },
  proposal_files: { about: 'Files of each proposal' },
  proposal_writers: { about: 'Who wrote in it' },
  decisions: { about: 'What reviewers decided', columns: { verdict: 'What was decided' } },
  tree_withdrawals: {
    about: 'Fault trees taken out of use',
    columns: { lifted_at: 'When it came back', lifted_by: 'By whom: id in people' },
  },
  field_reports: { about: 'What technicians reported about a tree' },
  report_answers: { about: 'Answers to them' },
  report_receipts: { about: 'Answers read' },
  trail: {
    about: 'Every write, each entry holding the hash of the one before',
    columns: {
      what: 'What was done',
      subject: 'Table, or kind of event',
      key: 'Key of the row',
      old: 'Before, as data',
      new: 'After, as data',
      content: 'SHA-256 of the row as it then stood',
      previous: 'Hash of the entry before',
      hash: 'Hash of this entry',
    },
  },
}
