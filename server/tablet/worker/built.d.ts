// What is put into the worker when it is built (web/host/tablet-worker.ts).

declare module 'built:views' {
  import type { CompiledViews } from '../../web/host/print-views.ts'

  const compiled: CompiledViews
  export default compiled
}

declare module 'built:facts' {
  import type { Built } from '../built.ts'

  const built: Built
  export default built
}
