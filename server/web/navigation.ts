import type { Role } from '../storage/storage.ts'

interface Entry {
  href: string
  text: string
  roles: Role[]
}

const entries: Entry[] = [
  { href: '/faults', text: 'Faults', roles: ['technician', 'engineer'] },
  { href: '/positions', text: 'Report a fault', roles: ['technician', 'engineer'] },
  { href: '/rounds', text: 'Rounds', roles: ['technician', 'engineer'] },
  { href: '/open', text: 'What waits', roles: ['engineer'] },
  { href: '/review', text: 'Review', roles: ['engineer'] },
  { href: '/sites', text: 'Sites', roles: ['technician', 'engineer', 'author', 'reviewer'] },
  { href: '/units', text: 'Units', roles: ['engineer'] },
  { href: '/knowledge', text: 'Fault trees', roles: ['engineer', 'author', 'reviewer'] },
  { href: '/calculators', text: 'Calculators', roles: ['technician', 'engineer'] },
  { href: '/instruments/register', text: 'Instruments', roles: ['engineer'] },
  { href: '/quality', text: 'Data', roles: ['engineer'] },
  { href: '/people', text: 'People', roles: ['engineer'] },
]

/** What has no page in practice. */
const notPractised: ReadonlySet<string> = new Set(['/sites', '/rounds'])

/** The masthead's links for a role, the one the visitor is under marked; fewer of them in practice. */
export function navigation(
  role: Role,
  path: string,
  practising = false,
): { href: string; text: string; current: boolean }[] {
  return entries
    .filter(entry => entry.roles.includes(role) && !(practising && notPractised.has(entry.href)))
    .map(({ href, text }) => ({ href, text, current: isUnder(path, href) }))
}

/** Pages about the knowledge lie at several addresses, under one entry. */
const knowledgePages = /^\/(knowledge|drafts|proposals|editions|limits|coverage|replays|field-reports)(\/|$)/
/** What comes in, what goes out, and how good it is. */
const dataPages = /^\/(quality|import|export)(\/|$)/

function isUnder(path: string, href: string): boolean {
  if (href === '/knowledge') return knowledgePages.test(path)
  if (href === '/quality') return dataPages.test(path)
  return path === href || path.startsWith(`${href}/`)
}
