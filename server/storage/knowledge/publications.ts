// Which edition is in use since when, and which trees no new fault may begin on.

import { AppError } from '../../errors.ts'
import { createRowCache } from '../engine/row-cache.ts'
import { sql } from '../engine/sql.ts'
import type { Writer, Written } from '../engine/writer.ts'

export interface Publication {
  id: string
  editionId: string
  at: string
  by: string | null
  byName: string | null
  how: 'folder' | 'proposal' | 'withdrawal'
  note: string
  proposalId: string | null
  /** What the knowledge folder held when it was taken in; an edition of its own. */
  folderId: string | null
}

export type NewPublication = Omit<Publication, 'at' | 'byName'> & { at?: string }

export interface TreeWithdrawal {
  id: string
  tree: string
  at: string
  by: string
  byName: string
  words: string
}

export interface Publications {
  /** The edition in use: the newest row; null in a new database. */
  newest(): Publication | null
  /** The last time the folder was taken in. */
  newestFromFolder(): Publication | null
  /** Newest first. */
  list(): Publication[]
  create(publication: NewPublication): Written
  /** Trees withdrawn now, by slug. */
  withdrawnTrees(): TreeWithdrawal[]
  /** 'conflict' when the tree is withdrawn already. */
  withdrawTree(withdrawal: { id: string; tree: string; by: string; words: string }): Written
  /** 'not found' when the tree is not withdrawn. */
  liftWithdrawal(tree: string, by: string): void
}

const SELECT = `
  SELECT p.id, p.edition_id AS editionId, p.at, p.by, n.name AS byName, p.how, p.note, p.proposal_id AS proposalId,
  p.folder_id AS folderId
  FROM publications p LEFT JOIN people n ON n.id = p.by`

const all = sql<[], Publication>(`${SELECT} ORDER BY p.seq DESC`)
const fromFolder = sql<[], Publication>(`${SELECT} WHERE p.how = 'folder' ORDER BY p.seq DESC LIMIT 1`)
const stored = sql<[string], object>(`
  SELECT edition_id AS editionId, by, how, note, proposal_id AS proposalId, folder_id AS folderId
  FROM publications WHERE id = ?`)
const insert = sql(`
  INSERT INTO publications (id, seq, edition_id, at, by, how, note, proposal_id, folder_id)
  VALUES (@id, (SELECT coalesce(max(seq), 0) + 1 FROM publications), @editionId, @at, @by, @how, @note, @proposalId,
    @folderId)`)
const withdrawn = sql<[], TreeWithdrawal>(`
  SELECT w.id, w.tree, w.at, w.by, n.name AS byName, w.words
  FROM tree_withdrawals w JOIN people n ON n.id = w.by WHERE w.lifted_at IS NULL ORDER BY w.tree`)
const storedWithdrawal = sql<[string], object>('SELECT tree, by, words FROM tree_withdrawals WHERE id = ?')
const insertWithdrawal = sql(
  'INSERT INTO tree_withdrawals (id, tree, at, by, words) VALUES (@id, @tree, @at, @by, @words)',
)
const lift = sql(
  'UPDATE tree_withdrawals SET lifted_at = @at, lifted_by = @by WHERE tree = @tree AND lifted_at IS NULL',
)

export function createPublications({ db, write, moment, once, trail }: Writer): Publications {
  // Asked for with every page.
  const cache = createRowCache<TreeWithdrawal[]>(db, trail, {
    maxEntries: 1,
    read: () => withdrawn(db).all(),
    invalidates: ({ table }) => (table === 'tree_withdrawals' || table === 'people' ? 'all' : null),
  })

  return {
    newest: () => all(db).get() ?? null,
    newestFromFolder: () => fromFolder(db).get() ?? null,
    list: () => all(db).all(),
    create: made =>
      write(() =>
        once(stored(db).get(made.id), made, () => void insert(db).run({ ...made, at: moment(made.at) })),
      ),
    withdrawnTrees: () => cache.get(''),
    withdrawTree: made =>
      write(() => {
        const storedRow = storedWithdrawal(db).get(made.id)
        if (
          !storedRow &&
          withdrawn(db)
            .all()
            .some(one => one.tree === made.tree)
        )
          throw new AppError('conflict', 'This tree is withdrawn already.')
        return once(storedRow, made, () => void insertWithdrawal(db).run({ ...made, at: moment() }))
      }),
    liftWithdrawal: (tree, by) =>
      write(() => {
        const { changes } = lift(db).run({ tree, by, at: moment() })
        if (changes === 0) throw new AppError('not found', 'This tree is not withdrawn.')
      }),
  }
}

/** The newest edition that was in use before and has not been withdrawn since. `publications` are newest first. */
export function editionBefore(publications: Publication[]): string | null {
  const stack: string[] = []
  for (const { how, editionId } of publications.toReversed()) {
    if (how === 'withdrawal') stack.pop()
    else if (stack.at(-1) !== editionId) stack.push(editionId)
  }
  return stack.at(-2) ?? null
}
