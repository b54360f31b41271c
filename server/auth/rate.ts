// Rate limit: how many requests one person or one address may make. It is for runaway scripts and floods, far above what a
// hand can do, and costs seconds of waiting. Held in memory: a restart forgets.

export interface Rate {
  /** Seconds until the next request of this one is taken; 0 takes it. */
  waitFor(who: string): number
}

const MOST = 20_000

interface Bucket {
  left: number
  at: number
}

/** A bucket of a minute's requests for each, filling steadily. `perMinute` 0 lets everything through. */
export function createRate(clock: () => Date, perMinute: number): Rate {
  const buckets = new Map<string, Bucket>()
  const perMs = perMinute / 60_000

  function bucketOf(who: string, now: number): Bucket {
    const existing = buckets.get(who)
    if (existing) return existing
    // The oldest is pruned, and starts with a full bucket again.
    const oldest = buckets.size >= MOST ? buckets.keys().next().value : undefined
    if (oldest !== undefined) buckets.delete(oldest)
    const fresh = { left: perMinute, at: now }
    buckets.set(who, fresh)
    return fresh
  }

  return {
    waitFor(who) {
      if (perMinute === 0) return 0
      const now = clock().getTime()
      const bucket = bucketOf(who, now)
      // A clock that was put back fills nothing and takes nothing.
      bucket.left = Math.min(perMinute, bucket.left + Math.max(0, now - bucket.at) * perMs)
      bucket.at = now
      if (bucket.left < 1) return Math.ceil((1 - bucket.left) / perMs / 1000)
      bucket.left -= 1
      return 0
    },
  }
}
