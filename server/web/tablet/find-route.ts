import type { Route } from '../host/route.ts'

export interface Found {
  route: Route
  params: Record<string, string>
}

/** The first route of the site map for an address without its query; null when there is none or the address is damaged. */
export function findRoute(routes: Route[], method: string, path: string): Found | null {
  const parts = partsOf(path)
  for (const route of routes) {
    const params = route.method === method.toLowerCase() ? matched(partsOf(route.path), parts) : null
    if (params) return { route, params }
  }
  return null
}

/** A slash at the end says nothing, as in Express. */
function partsOf(path: string): string[] {
  return path.replace(/\/$/, '').split('/').slice(1)
}

function matched(pattern: string[], parts: string[]): Record<string, string> | null {
  if (pattern.length !== parts.length) return null
  const params: Record<string, string> = {}
  for (const [at, wanted] of pattern.entries()) {
    const part = parts[at] ?? ''
    if (!wanted.startsWith(':')) {
      if (wanted.toLowerCase() !== part.toLowerCase()) return null
      continue
    }
    const value = part === '' ? null : decoded(part)
    if (value === null) return null
    params[wanted.slice(1)] = value
  }
  return params
}

function decoded(part: string): string | null {
  try {
    return decodeURIComponent(part)
  } catch {
    return null
  }
}
