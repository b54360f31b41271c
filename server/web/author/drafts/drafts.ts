import { z } from 'zod'
import { may } from '../../../auth/roles.ts'
import { AppError } from '../../../errors.ts'
import { isKnowledgePath, readBundle } from '../../../knowledge/editions/bundle.ts'
import { lineDiff, shortened } from '../../../knowledge/editions/line-diff.ts'
import { withoutControls } from '../../../plain-words.ts'
import type { Draft } from '../../../storage/storage.ts'
import type { Deps } from '../../deps.ts'
import { formAgain, json, page, redirectAfterWrite } from '../../host/answer.ts'
import { formId, oneOf, optionalWords, readForm } from '../../host/read-form.ts'
import { person, type Request } from '../../host/request.ts'
import { draftLocals, panelLocals } from './draft-page.ts'
import { starters } from './starters.ts'

/** Markdown as typed, but for line ends and control characters; a file may be as large as one on disk. */
const text = z
  .string({ error: 'The text is missing.' })
  .max(1_000_000, 'A file holds a million letters at most. Split the tree.')
  .transform(withoutControls)

const savedText = z.object({
  id: formId,
  over: z.string().max(80),
  settles: z.string().max(80).optional(),
  how: oneOf(['pause', 'check'], 'Say what to do with the text.'),
  text,
})

const begun = z.object({
  id: formId,
  path: z
    .string()
    .refine(isKnowledgePath, 'A name has small letters, digits and hyphens: trees/no-drive.md.'),
  from: oneOf(['use', 'disk', 'new'], 'Say where to begin from.'),
})

const newFile = z.object({
  id: formId,
  kind: oneOf(['trees', 'equipment'], 'Say which kind of file it is.'),
  name: z
    .string()
    .regex(/^[a-z0-9][a-z0-9-]{0,80}$/, 'Use small letters, digits and hyphens, such as no-drive.'),
})

export const add = (_deps: Deps) => () => {
  return page('author/drafts/draft-new', { title: 'Begin a new file', desk: true })
}

/** Begins a new file from the one to copy. */
export const createFile = (deps: Deps) => (req: Request) => {
  const form = readForm(newFile, req)
  if (!form.ok)
    return formAgain('author/drafts/draft-new', { title: 'Begin a new file', desk: true, ...form })
  const { id, kind, name } = form.data
  const path = `${kind}/${name}.md`
  if (deps.library.files(deps.library.current().id).some(file => file.path === path)) {
    const errors = { name: 'There is a file of this name already.' }
    return formAgain('author/drafts/draft-new', {
      title: 'Begin a new file',
      desk: true,
      values: req.body,
      errors,
    })
  }
  const draft = begin(deps, req, id, path, starters[kind])
  return redirectAfterWrite(deps, req, id, `/drafts/${draft.id}`)
}

/** Begins a draft of a file in use, or of one as it is on disk; goes to the draft that is there already. */
export const create = (deps: Deps) => (req: Request) => {
  const form = readForm(begun, req)
  if (!form.ok) throw new AppError('invalid', Object.values(form.errors)[0] ?? 'That could not be read.')
  const { id, path, from } = form.data
  const inUse = deps.library.files(deps.library.current().id).find(file => file.path === path)?.text ?? null
  const draft = begin(deps, req, id, path, inUse ?? '')
  if (from === 'disk') {
    const disk = deps.library.folder().files.find(file => file.path === path)?.text ?? null
    const by = person(req).id
    deps.storage.drafts.save({ id, draftId: draft.id, over: draft.head.id, by, text: disk, pause: false })
  }
  return redirectAfterWrite(deps, req, id, `/drafts/${draft.id}`)
}

export const show = (deps: Deps) => (req: Request) => {
  const draft = deps.storage.drafts.get(String(req.params.draft))
  const beside = draft.asides.find(one => one.id === req.query.aside) ?? null
  const writes = may(person(req).role, 'write knowledge')
  return page(beside ? 'author/drafts/draft-both' : 'author/drafts/draft', {
    ...draftLocals(deps, draft, beside?.text ?? draft.head.text, writes),
    ...(beside ? { beside, diff: shortened(lineDiff(draft.head.text ?? '', beside.text ?? '')) } : {}),
  })
}

/**
 * Keeps a text of a draft. By script at each pause, which gets the checked page back as a part; by the Check button
 * otherwise. Typed over an older text it is put aside, and both are shown.
 */
export const save = (deps: Deps) => (req: Request) => {
  const form = readForm(savedText, req)
  if (!form.ok) throw new AppError('invalid', Object.values(form.errors)[0] ?? 'That could not be read.')
  const { how, id, ...data } = form.data
  const draftId = String(req.params.draft)
  const made = {
    ...data,
    id,
    draftId,
    by: person(req).id,
    pause: how === 'pause',
    settles: data.settles || null,
  }
  const saved = deps.storage.drafts.save(made)
  const address = `/drafts/${draftId}${saved.aside ? `?aside=${saved.id}` : ''}`
  if (how === 'check') return redirectAfterWrite(deps, req, id, address)
  const draft = deps.storage.drafts.get(draftId)
  const at = deps.times.clock(saved.at)
  const panel = { view: 'author/drafts/draft-panel', locals: panelLocals(deps, draft, saved.text) }
  return json({ kept: id, at, over: saved.id, aside: saved.aside ? address : null }, panel)
}

const ending = z.object({ id: formId, how: oneOf(['put away', 'take out', 'taken in'], 'Say what to do.') })

/** Puts a draft away, has its file taken out, or says that what changed in use since has been taken in. */
export const update = (deps: Deps) => (req: Request) => {
  const form = readForm(ending, req)
  if (!form.ok) throw new AppError('invalid', Object.values(form.errors)[0] ?? 'That could not be read.')
  const draft = deps.storage.drafts.get(String(req.params.draft))
  const { id, how } = form.data
  if (how === 'put away') deps.storage.drafts.end(draft.id, 'put away')
  if (how === 'taken in') deps.storage.drafts.rebase(draft.id, deps.library.current().id)
  if (how === 'take out') {
    const by = person(req).id
    deps.storage.drafts.save({ id, draftId: draft.id, over: draft.head.id, by, text: null, pause: false })
  }
  return redirectAfterWrite(deps, req, id, how === 'put away' ? '/knowledge' : `/drafts/${draft.id}`)
}

const imported = z.object({ id: formId, text, note: optionalWords() })

/** Reads one file or a bundle into drafts; a file with a draft already keeps its own text beside. */
export const importBundle = (deps: Deps) => (req: Request) => {
  const form = readForm(imported, req)
  const locals = { title: 'Bring files in', desk: true }
  if (!form.ok) return formAgain('author/drafts/import', { ...locals, ...form })
  const read = readFiles(form.data.text)
  if (typeof read === 'string')
    return formAgain('author/drafts/import', { ...locals, values: req.body, errors: { text: read } })
  const by = person(req).id
  deps.storage.transaction(() => {
    for (const { path, text: body } of changedOnly(deps, read)) {
      const there = deps.storage.drafts.findByPath(path)
      const draft = there ?? begin(deps, req, crypto.randomUUID(), path, inUseText(deps, path))
      // Over nothing known, so that a draft under way is never overwritten: the file comes to lie beside it.
      const over = there ? '' : draft.head.id
      deps.storage.drafts.save({
        id: crypto.randomUUID(),
        draftId: draft.id,
        over,
        by,
        text: body,
        pause: false,
      })
    }
  })
  return redirectAfterWrite(deps, req, form.data.id, '/knowledge')
}

export const addImport = (_deps: Deps) => () => {
  return page('author/drafts/import', { title: 'Bring files in', desk: true })
}

function begin(deps: Deps, req: Request, id: string, path: string, body: string): Draft {
  const baseEditionId = deps.library.current().id
  return deps.storage.drafts.begin({
    id,
    path,
    baseEditionId,
    by: person(req).id,
    textId: crypto.randomUUID(),
    text: body,
  })
}

function inUseText(deps: Deps, path: string): string {
  return deps.library.files(deps.library.current().id).find(file => file.path === path)?.text ?? ''
}

function changedOnly(deps: Deps, files: { path: string; text: string }[]) {
  const same = (file: { path: string; text: string }) =>
    inUseText(deps, file.path).trimEnd() === file.text.trimEnd()
  return files.filter(file => !same(file))
}

/** The files of a bundle, or what is wrong with it. */
function readFiles(body: string): { path: string; text: string }[] | string {
  const { files, stray } = readBundle(body)
  if (files.length === 0)
    return 'No file begins here. Before each file stands a line such as @@@ trees/no-drive.md.'
  if (stray) return 'There are words before the first line that begins with @@@.'
  return files
}
