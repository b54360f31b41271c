// Left alone, an enrolled tablet covers itself: the server ends the session, and the PIN leads back to the same page,
// where the draft is put back. Without an answer from the server the page stays: what a technician reads must not vanish.

import { meta } from './tablet.js'

const lookEveryMs = 15_000
let touchedAt = Date.now()

export function startCover() {
  const minutes = Number(meta('idle'))
  if (!minutes || !meta('person')) return
  for (const kind of ['pointerdown', 'keydown', 'scroll'])
    document.addEventListener(kind, touched, { passive: true, capture: true })
  const look = () => {
    if (Date.now() - touchedAt >= minutes * 60_000) cover()
  }
  setInterval(look, lookEveryMs)
  // A tablet that slept has not counted.
  document.addEventListener('visibilitychange', look)
}

function touched() {
  touchedAt = Date.now()
}

async function cover() {
  try {
    const reply = await fetch('/cover', {
      method: 'POST',
      body: new URLSearchParams({ return: location.pathname + location.search }),
      headers: { Accept: 'application/json', 'X-Tablet-Clock': String(Date.now()) },
    })
    if (reply.ok) location.replace((await reply.json()).next)
  } catch {}
}
