import { describe, expect, it } from 'vitest'
import { may, type Right, roles } from '../../server/auth/roles.ts'

const everything: Record<Right, string[]> = {
  'report faults': ['technician', 'engineer'],
  'attend faults': ['technician'],
  'carry out actions': ['technician', 'engineer'],
  'look after the depot': ['engineer'],
  'release evidence': ['engineer'],
  'override a fit': ['engineer'],
  'write knowledge': ['engineer', 'author'],
  'publish knowledge': ['engineer', 'author'],
  'review knowledge': ['engineer', 'author', 'reviewer'],
  'manage people': ['engineer'],
}

describe.each(Object.entries(everything))('to %s', (right, allowed) => {
  it.each(roles)('is given to a %s only if it should be', role => {
    expect(may(role, right as Right)).toBe(allowed.includes(role))
  })
})
