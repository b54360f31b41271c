/** The message says what is the matter with the backup. */
export class BackupError extends Error {}
