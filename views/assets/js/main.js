// Everything here only adds to pages that already work as plain forms.

import { startClock } from './clock.js'
import { startCover } from './cover.js'
import { startDrafts } from './drafts.js'
import { startGuard } from './guard.js'
import { startKeypads } from './keypad.js'
import { startLookSwitch } from './look-switch.js'
import { startOutbox } from './outbox.js'
import { startPhotos } from './photo.js'

startGuard()
startLookSwitch()
startKeypads()
startDrafts()
startOutbox()
startPhotos()
startClock()
startCover()

const first = document.querySelector('[data-focus]')
if (first instanceof HTMLElement) first.focus()
