// On whose word a person is in: who made their account, and who gave them the PIN and the password they have. That person
// could have made up the account, or could sign in with it; so they are no second pair of eyes to each other.

import { type Connection, sql } from '../engine/sql.ts'

/** The kind of entry in the trail when somebody was let in with a setup code, by whoever looks after the machine. */
export const letInBySetupCode = 'let in with a setup code'

interface Entry {
  subject: string
  what: string
  by: string | null
  new: string | null
}

const entriesOf = sql<object, Entry>(`
  SELECT subject, what, person_id AS by, new FROM trail
  WHERE subject IN ('people', '${letInBySetupCode}') AND key = @id ORDER BY seq`)

/**
 * Ids of everybody the person's access rests on: of those who let them in, of those who let those in, and so on. Nobody
 * for whoever was let in with a setup code. One's own change of a PIN or password alters nothing of it; when
 * another gives both anew, it rests on them.
 */
export function letInBy(db: Connection, id: string): Set<string> {
  const found = new Set<string>()
  const left = [id]
  for (let next = left.pop(); next !== undefined; next = left.pop())
    for (const giver of giversOf(entriesOf(db).all({ id: next }), next))
      if (giver !== id && !found.has(giver)) {
        found.add(giver)
        left.push(giver)
      }
  return found
}

const engineers = sql<[], { id: string; name: string }>(
  "SELECT id, name FROM people WHERE role = 'engineer' AND active = 1 ORDER BY name",
)

/**
 * Whose word is needed in place of the approver's, who let a writer in and may be that writer under another name: engineers
 * who neither wrote, nor are in on the word of the approver or of a writer, nor let a writer in themselves. Nobody when the
 * approver let no writer in.
 */
export function engineersInstead(
  db: Connection,
  approver: string,
  writers: readonly string[],
): { id: string; name: string }[] {
  const letIn = new Set(writers.flatMap(writer => [...letInBy(db, writer)]))
  if (!letIn.has(approver)) return []
  return engineers(db)
    .all()
    .filter(({ id }) => id !== approver && !writers.includes(id) && !letIn.has(id))
    .filter(({ id }) => {
      const restsOn = letInBy(db, id)
      return !restsOn.has(approver) && !writers.some(writer => restsOn.has(writer))
    })
}

/** Who gave the PIN and who the password, as the entries tell in their order. */
function giversOf(entries: Entry[], id: string): string[] {
  let pin: string | null = null
  let password: string | null = null
  for (const { subject, what, by, new: after } of entries) {
    if (by === id) continue
    const isMade = subject === letInBySetupCode || what === 'added'
    const giver = subject === letInBySetupCode ? null : by
    const changed = isMade ? {} : JSON.parse(after ?? '{}')
    if (isMade || 'pin_hash' in changed) pin = giver
    if (isMade || 'password_hash' in changed) password = giver
  }
  return [pin, password].filter(giver => giver !== null)
}
