import { choicesFor, countWords, type Words } from '../../../exchange/guess-meanings.ts'
import { bare } from '../../../exchange/subjects.ts'
import { type Cell, textOf } from '../../../exchange/table.ts'
import type { Deps } from '../../deps.ts'
import { page, redirect } from '../../host/answer.ts'
import type { Request } from '../../host/request.ts'
import type { Upload } from './import-uploads.ts'
import { eachFewRows, readUpload } from './read-upload.ts'
import { rememberedMeanings } from './remembered.ts'
import { slicesOf } from './slices.ts'

/** So many kinds of words are asked about one by one; the rest share one answer. */
const mostAsked = 60

/** What the file's own words for symptoms and causes mean here. */
export const show = (deps: Deps) => async (req: Request) => {
  const upload = readUpload(deps, req)
  const { symptoms, causes, choices } = await asked(deps, upload)
  return page('engineer/bring-in/import-words', {
    title: 'What the words mean',
    desk: true,
    upload,
    symptomFields: symptomFields(symptoms, choices.symptoms),
    causeFields: causeFields(causes, choices.causes),
  })
}

export const update = (deps: Deps) => async (req: Request) => {
  const upload = readUpload(deps, req)
  const { symptoms, causes, choices } = await asked(deps, upload)
  upload.meanings = {
    symptoms: meaningsOf(symptoms, choices.symptoms, req, 'symptom'),
    causes: meaningsOf(causes, choices.causes, req, 'cause'),
  }
  upload.tryOut = null
  return redirect(`/import/files/${upload.id}/check`)
}

async function asked(deps: Deps, { table, columns }: Upload) {
  const choices = choicesFor(deps.library.current().knowledge)
  const [symptoms, causes] = [countWords(choices.symptoms), countWords(choices.causes)]
  await eachFewRows(deps, table, rows => {
    for (const { cells } of rows) {
      symptoms.add(textsIn(cells, columns.symptom))
      causes.add(textsIn(cells, columns.cause))
    }
  })
  await slicesOf(deps).workThrough(items => symptoms.guess(items) && causes.guess(items))
  const before = rememberedMeanings(deps, 'past faults')
  const cut = (words: Words[]): Asked => ({ first: words.slice(0, mostAsked), rest: words.slice(mostAsked) })
  return {
    choices,
    symptoms: cut(asBefore(symptoms.list(), before.symptoms)),
    causes: cut(asBefore(causes.list(), before.causes)),
  }
}

/** What a wording was taken for before comes before any guess. */
function asBefore(words: Words[], before: Record<string, string>): Words[] {
  return words.map(one => ({ ...one, guess: before[bare(one.text)] ?? one.guess }))
}

function textsIn(cells: Cell[], column: number | undefined): string[] {
  return column === undefined ? [] : [textOf(cells[column])]
}

function meaningsOf(
  { first, rest }: Asked,
  choices: { value: string }[],
  req: Request,
  name: string,
): Map<string, string> {
  const offered = (value: unknown) => choices.find(choice => choice.value === value)?.value ?? ''
  const others = offered(req.body[`${name}-others`])
  const answers: [string, string][] = first.map(({ text }, n) => [
    bare(text),
    offered(req.body[`${name}${n}`]),
  ])
  for (const { text, guess } of rest) answers.push([bare(text), guess ?? others])
  return new Map(answers.filter(([, value]) => value !== ''))
}

interface Choice {
  value: string
  label: string
}

/** Words asked about one by one, and the rarer rest that share one answer. */
export interface Asked {
  first: Words[]
  rest: Words[]
}

const longestLabel = 160

/** What does each wording of a symptom mean? Left open, its rows stay out. */
function symptomFields(asked: Asked, symptoms: Choice[]) {
  return wordFields('symptom', asked, [{ value: '', label: 'not chosen: leave these rows out' }, ...symptoms])
}

/** What does each wording of a cause mean? Left open, it is stored as text. Empty when the file has none. */
function causeFields(asked: Asked, causes: Choice[]) {
  if (asked.first.length === 0) return []
  return wordFields('cause', asked, [{ value: '', label: 'keep as text' }, ...causes])
}

function wordFields(name: string, { first, rest }: Asked, options: Choice[]) {
  const base = { type: 'select', error: null, options }
  const fields = first.map((words, n) => ({
    ...base,
    name: `${name}${n}`,
    label: words.text.slice(0, longestLabel),
    hint: words.count === 1 ? 'in one row' : `in ${words.count} rows`,
    value: words.guess || '',
  }))
  if (rest.length === 0) return fields
  const label = `Each of the ${rest.length} rarer wordings that nothing is near to`
  return [...fields, { ...base, name: `${name}-others`, label, value: '' }]
}
