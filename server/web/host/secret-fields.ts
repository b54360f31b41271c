/** Fields that are typed to be checked at once: never shown again, never written down. */
export const secretFields = ['pin', 'password', 'now', 'secret', 'overridePin', 'code']
