// Where a time is typed: says so when this tablet's clock is out, so that nobody copies a wrong time from it into a record.

const worthMs = 2 * 60_000

export function startClock() {
  for (const place of document.querySelectorAll('[data-clock]')) {
    if (!(place instanceof HTMLElement)) continue
    const ahead = cameAt() - Number(place.dataset.clock)
    if (Math.abs(ahead) <= worthMs) continue
    const words = `This tablet’s clock is ${howLong(Math.abs(ahead))} ${ahead > 0 ? 'fast' : 'slow'}.`
    const line = place.querySelector('span')
    if (line) line.textContent = `${words} Do not go by it: this page came at ${place.dataset.clockWords}.`
    place.hidden = false
  }
}

/** When the page began to come, by this tablet's clock: how long it then took to arrive is no error of the clock. */
function cameAt() {
  const [page] = performance.getEntriesByType('navigation')
  const started = page instanceof PerformanceNavigationTiming ? page.responseStart : 0
  return Date.now() - (performance.now() - started)
}

/** @param {number} ms @returns {string} such as "14 min" */
function howLong(ms) {
  const minutes = Math.round(ms / 60_000)
  if (minutes < 120) return `${minutes} min`
  return minutes < 2880 ? `${Math.round(minutes / 60)} hours` : `${Math.round(minutes / 1440)} days`
}
