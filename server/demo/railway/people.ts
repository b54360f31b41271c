// Who works on the demo railway. All invented; the PINs are printed when the demo starts.

import type { Role } from '../../storage/storage.ts'

export interface DemoPerson {
  id: string
  name: string
  role: Role
  pin: string
}

export const demoPeople: DemoPerson[] = [
  { id: 'ockenby', name: 'Tamsin Ockenby', role: 'technician', pin: '2580' },
  { id: 'wadelow', name: 'Rufus Wadelow', role: 'technician', pin: '1397' },
  { id: 'marrowstone', name: 'Ines Marrowstone', role: 'technician', pin: '7426' },
  { id: 'orrinsay', name: 'Gwil Orrinsay', role: 'technician', pin: '8153' },
  { id: 'thistlewade', name: 'Maud Thistlewade', role: 'technician', pin: '6049' },
  { id: 'harkermoor', name: 'Sunil Harkermoor', role: 'technician', pin: '3718' },
  { id: 'castellow', name: 'Bryony Castellow', role: 'engineer', pin: '4826' },
  { id: 'vennacott', name: 'Osric Vennacott', role: 'engineer', pin: '9174' },
  { id: 'faversett', name: 'Linnet Faversett', role: 'author', pin: '5302' },
  { id: 'quorrie', name: 'Alden Quorrie', role: 'reviewer', pin: '6471' },
]

export const technicians = demoPeople.filter(person => person.role === 'technician')
export const engineers = demoPeople.filter(person => person.role === 'engineer')
