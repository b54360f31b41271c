// Drafts put forward together, and what others say to them. Who has words in a proposal may not approve it.

import { AppError } from '../../errors.ts'
import { type Connection, nextSeq, sql } from '../engine/sql.ts'
import type { Writer, Written } from '../engine/writer.ts'
import { engineersInstead, letInBy } from '../people/let-in.ts'

export interface ProposalFile {
  path: string
  draftId: string
  /** Null: the file is taken out. */
  text: string | null
}

export interface Decision {
  id: string
  at: string
  by: string
  byName: string
  verdict: 'approved' | 'sent back' | 'taken back'
  words: string
}

export type ProposalState = 'waiting' | 'approved' | 'sent back' | 'taken back' | 'published'

export interface Proposal {
  id: string
  at: string
  by: string
  byName: string
  baseEditionId: string
  note: string
  files: ProposalFile[]
  /** Ids and names of those whose words are in it. */
  writers: { id: string; name: string }[]
  decisions: Decision[]
  publishedAt: string | null
  state: ProposalState
}

export interface NewProposal {
  id: string
  by: string
  baseEditionId: string
  note: string
  files: ProposalFile[]
  writers: string[]
}

export interface Proposals {
  /** 'not found' when there is none. */
  get(id: string): Proposal
  /** Newest first. */
  list(): Proposal[]
  create(proposal: NewProposal): Written
  /**
   * 'conflict' when it is decided already; 'forbidden' when somebody approves their own words, or those of a person on
   * whose word they are in, or of somebody they let in while another engineer could.
   */
  decide(decision: {
    id: string
    proposalId: string
    by: string
    verdict: Decision['verdict']
    words: string
  }): Written
}

type Row = Pick<Proposal, 'id' | 'at' | 'by' | 'byName' | 'baseEditionId' | 'note' | 'publishedAt'>

const SELECT = `
  SELECT p.id, p.at, p.by, n.name AS byName, p.base_edition_id AS baseEditionId, p.note,
    (SELECT u.at FROM publications u WHERE u.proposal_id = p.id) AS publishedAt
  FROM proposals p JOIN people n ON n.id = p.by`
const one = sql<[string], Row>(`${SELECT} WHERE p.id = ?`)
const all = sql<[], Row>(`${SELECT} ORDER BY p.at DESC, p.id`)
const files = sql<[string], ProposalFile>(
  'SELECT path, draft_id AS draftId, text FROM proposal_files WHERE proposal_id = ? ORDER BY path',
)
const writers = sql<[string], { id: string; name: string }>(`
  SELECT n.id, n.name FROM proposal_writers w JOIN people n ON n.id = w.person_id
  WHERE w.proposal_id = ? ORDER BY n.name`)
const decisions = sql<[string], Decision>(`
  SELECT d.id, d.at, d.by, n.name AS byName, d.verdict, d.words
  FROM decisions d JOIN people n ON n.id = d.by WHERE d.proposal_id = ? ORDER BY d.seq`)
const stored = sql<[string], object>(
  'SELECT by, base_edition_id AS baseEditionId, note FROM proposals WHERE id = ?',
)
const insert = sql(`
  INSERT INTO proposals (id, at, by, base_edition_id, note) VALUES (@id, @at, @by, @baseEditionId, @note)`)
const insertFile = sql(
  'INSERT INTO proposal_files (proposal_id, path, draft_id, text) VALUES (@proposalId, @path, @draftId, @text)',
)
const insertWriter = sql('INSERT INTO proposal_writers (proposal_id, person_id) VALUES (?, ?)')
const storedDecision = sql<[string], object>(
  'SELECT proposal_id AS proposalId, by, verdict, words FROM decisions WHERE id = ?',
)
const insertDecision = sql(`
  INSERT INTO decisions (id, proposal_id, seq, at, by, verdict, words)
  VALUES (@id, @proposalId, ${nextSeq('decisions', 'proposal_id', '@proposalId')}, @at, @by,
    @verdict, @words)`)

export function createProposals({ db, write, moment, once }: Writer): Proposals {
  function whole(row: Row): Proposal {
    const parts = {
      files: files(db).all(row.id),
      writers: writers(db).all(row.id),
      decisions: decisions(db).all(row.id),
    }
    return { ...row, ...parts, state: stateOf(row.publishedAt, parts.decisions) }
  }

  function get(id: string): Proposal {
    const row = one(db).get(id)
    if (!row) throw new AppError('not found', 'There is no such proposal.')
    return whole(row)
  }

  return {
    get,
    list: () => all(db).all().map(whole),
    create: ({ files: texts, writers: people, ...made }) =>
      write(() =>
        once(stored(db).get(made.id), made, () => {
          insert(db).run({ ...made, at: moment() })
          for (const file of texts) insertFile(db).run({ proposalId: made.id, ...file })
          for (const person of new Set([...people, made.by])) insertWriter(db).run(made.id, person)
        }),
      ),
    decide: made =>
      write(() =>
        once(storedDecision(db).get(made.id), made, () => {
          const proposal = get(made.proposalId)
          mustBeOpen(proposal, made)
          if (made.verdict === 'approved') mustBeIndependent(db, proposal, made.by)
          insertDecision(db).run({ ...made, at: moment() })
        }),
      ),
  }
}

function stateOf(publishedAt: string | null, decisions: Decision[]): ProposalState {
  if (publishedAt !== null) return 'published'
  return decisions.at(-1)?.verdict ?? 'waiting'
}

function mustBeIndependent(db: Connection, proposal: Proposal, by: string): void {
  const all = letInBy(db, by)
  const writer = proposal.writers.find(({ id }) => all.has(id))
  if (writer)
    throw new AppError(
      'forbidden',
      `You are in on the word of ${writer.name}, who wrote this. Somebody whom ${writer.name} has not let in must approve it.`,
    )
  mustNeedNoOther(db, proposal, by)
}

/** Where there is another engineer, whoever let a writer in does not approve alone: the two may be one person. */
function mustNeedNoOther(db: Connection, { writers }: Proposal, by: string): void {
  const instead = engineersInstead(
    db,
    by,
    writers.map(({ id }) => id),
  )
  if (instead.length > 0)
    throw new AppError(
      'forbidden',
      `You made the account of somebody who wrote this, or gave them the PIN or password they have. ${instead.map(({ name }) => name).join(' or ')} must approve it.`,
    )
}

function mustBeOpen(proposal: Proposal, { by, verdict }: { by: string; verdict: Decision['verdict'] }): void {
  const open = proposal.state === 'waiting' || (proposal.state === 'approved' && verdict !== 'approved')
  if (!open) throw new AppError('conflict', `This proposal is ${proposal.state} already.`)
  const wrote = proposal.writers.some(writer => writer.id === by)
  if (verdict === 'approved' && wrote)
    throw new AppError('forbidden', 'Nobody approves their own words. Another person must read this.')
  if (verdict === 'taken back' && !wrote)
    throw new AppError('forbidden', 'Only those who wrote it can take it back. Send it back instead.')
}
