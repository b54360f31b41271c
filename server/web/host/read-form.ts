import { z } from 'zod'
import { nameTrouble, plainName, plainWords } from '../../plain-words.ts'
import type { Request } from './request.ts'

/** Field name → what is wrong with it, in words that say how to mend it. */
export type FormErrors = Record<string, string>

export type ReadForm<T> =
  | { ok: true; data: T }
  | { ok: false; errors: FormErrors; values: Record<string, unknown> }

/** Reads a posted form once: only the parsed data is used onward, or what was typed is shown again with the errors. */
export function readForm<S extends z.ZodType>(schema: S, req: Pick<Request, 'body'>): ReadForm<z.output<S>> {
  const values: Record<string, unknown> = { ...req.body }
  const parsed = schema.safeParse(values)
  if (parsed.success) return { ok: true, data: parsed.data }
  const errors: FormErrors = {}
  for (const issue of parsed.error.issues) errors[String(issue.path[0] ?? 'form')] ??= issue.message
  return { ok: false, errors, values }
}

/** An id made with the page, so that sending a form twice writes once. */
export const formId = z.uuid({ error: 'This page is out of date. Reload it and send the form again.' })

/** Words a person must give: trimmed, not empty, at most `longest` characters. */
export function words(missing: string, longest = 2000) {
  return z
    .string({ error: missing })
    .transform(text => plainWords(text).trim())
    .pipe(z.string().min(1, missing).max(longest, `Keep this to ${longest} characters.`))
}

/** A name or number that tells one from another: words in one line, without anything that can't be seen. */
export function name(missing: string, longest: number) {
  return words(missing, longest)
    .transform(plainName)
    .superRefine((given, context) => {
      const message = nameTrouble(given)
      if (message) context.addIssue({ code: 'custom', message })
    })
}

/** Words a person may give; an empty field is null. */
export function optionalWords(longest = 2000) {
  return z
    .string()
    .optional()
    .transform(text => plainWords(text ?? '').trim() || null)
    .pipe(z.string().max(longest, `Keep this to ${longest} characters.`).nullable())
}

/** One of the words offered. */
export function oneOf<const T extends readonly [string, ...string[]]>(choices: T, missing: string) {
  return z.enum(choices, { error: missing })
}

export const ticked = z
  .literal('yes')
  .optional()
  .transform(value => value === 'yes')
