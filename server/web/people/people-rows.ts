import type { Person } from '../../storage/storage.ts'

/** Where wrong PINs or passwords were slowed down; `new`: JSON with the tablet or the address. */
export function slowDownRows(entries: { key: string; at: string; new: string | null }[]) {
  return entries.map(({ key, at, new: told }) => {
    const { tablet, address } = JSON.parse(told ?? '{}') as { tablet?: string; address?: string }
    return { name: key, at, from: tablet || address }
  })
}

/** Who may sign in on the depot's own tablets, to choose one's name from. */
export function nameChoices(people: Person[]): { value: string; label: string }[] {
  return people.map(({ name, role }) => ({ value: name, label: `${name}, ${role}` }))
}

/** How far a tablet's clock was out when it was seen last; null when that is not known. */
export function clockWords(aheadMs: number | null): string | null {
  if (aheadMs === null) return null
  return `${Math.abs(Math.round(aheadMs / 1000))} s ${aheadMs < 0 ? 'behind' : 'ahead'}`
}
