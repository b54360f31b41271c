// Everything the program keeps, by subject. `find` gives null, `get` throws 'not found'.
// Each write carries an id chosen by the client: sending it again with the same content writes nothing and says so;
// the same id with other content is a 'conflict', and so is writing to a fault that is closed, or in an attendance
// that has ended or is another person's.

import type { Appends } from './append.ts'
import { type Attendances, createAttendances } from './attendances.ts'
import { type Closures, createClosures } from './closures.ts'
import type { Database } from './database.ts'
import { createDisturbances, type NewDisturbance } from './disturbances.ts'
import { createDrafts, type Drafts } from './drafts.ts'
import { createEditions, type Editions } from './editions.ts'
import { createEngineerNotes, type EngineerNotes } from './engineer-notes.ts'
import { createExports, type Exports } from './export.ts'
import { createFaults, type Faults } from './faults.ts'
import { createFindings, type Findings } from './findings.ts'
import { createHandovers, type Handovers } from './handovers.ts'
import { createHistory, type History } from './history.ts'
import { createHoldReleases, type NewHoldRelease } from './hold-releases.ts'
import { createIdentities, type NewIdentityCheck } from './identities.ts'
import { createImports, type Imports } from './imports.ts'
import { createInstruments, type Instruments } from './instruments.ts'
import { lookOnce } from './kept.ts'
import { createPastFaults, type PastFaults } from './past-faults.ts'
import { createPeople, type People } from './people.ts'
import { createPhotos, type Photos } from './photos.ts'
import { createPositions, type Positions } from './positions.ts'
import { createProofs, type NewProof } from './proofs.ts'
import { createProposals, type Proposals } from './proposals.ts'
import { createPublications, type Publications } from './publications.ts'
import { createQuality, type Quality } from './quality.ts'
import { createRepairs, type NewRepair } from './repairs.ts'
import { createReports, type Reports } from './reports.ts'
import { createRestorations, type NewRestoration } from './restorations.ts'
import { createDelays, createWorkshopVisits, type Delays, type WorkshopVisits } from './review-later.ts'
import { createReviewSettings, type ReviewSettings } from './review-settings.ts'
import { createReviews, type Reviews } from './reviews.ts'
import { createSessions, type Sessions } from './sessions.ts'
import { createSetupCodes, type SetupCodes } from './setup-codes.ts'
import type { SharedCommit } from './shared-commit.ts'
import { createSites, type Sites } from './sites.ts'
import { createSuggestions, type Suggestions } from './suggestions.ts'
import { createTablets, type Tablets } from './tablets.ts'
import { createTonesInUse, type TonesInUse } from './tones-in-use.ts'
import { createTrail, type Trail } from './trail.ts'
import { createUnits, type Units } from './units.ts'
import { createVisits, type Visits } from './visits.ts'
import { createWalked, type Walked } from './walked.ts'
import { createWetAndDry, type WetAndDry } from './wet-and-dry.ts'
import { createWriter } from './writer.ts'

export type { Appends } from './append.ts'
export type { Attendances, EndedHow, NewAttendance } from './attendances.ts'
export type { Closures, NewClosure, NewSignature } from './closures.ts'
export type { NewDisturbance } from './disturbances.ts'
export type { Draft, Drafts, DraftText, NewDraft, NewDraftText } from './drafts.ts'
export type { EditionFile, EditionRow, Editions, NewEdition } from './editions.ts'
export type { EngineerNote, EngineerNotes, NewEngineerNote } from './engineer-notes.ts'
export type { ExportedValue, Exports, ExportTable } from './export.ts'
export type { FaultSummary, Faults, NewFault } from './faults.ts'
export type { NewFinding } from './findings.ts'
export type { Handovers, NewConfirmation, NewHandover } from './handovers.ts'
export type { History } from './history.ts'
export type { NewHoldRelease } from './hold-releases.ts'
export type { NewIdentityCheck } from './identities.ts'
export type { ImportRow, Imports, Loading, RowOutcome } from './imports.ts'
export type { Instruments, KeptInstrument, ReadingOutOfDate } from './instruments.ts'
export type { Given, NewPerson, People, Person, Role } from './people.ts'
export type { NewPhoto, Photo, Photos } from './photos.ts'
export type { NewPosition, Position, Positions } from './positions.ts'
export type { NewProof } from './proofs.ts'
export type { Decision, NewProposal, Proposal, ProposalState, Proposals } from './proposals.ts'
export type { NewPublication, Publication, Publications, TreeWithdrawal } from './publications.ts'
export type { Quality, QualityFault } from './quality.ts'
export type { NewRepair, NewSwap } from './repairs.ts'
export type { FieldReport, NewFieldReport, ReportAnswer, Reports } from './reports.ts'
export type { NewRestoration } from './restorations.ts'
export type { Review, ReviewEntry, Reviews } from './reviews.ts'
export type { Session, Sessions } from './sessions.ts'
export type { SetupCodes } from './setup-codes.ts'
export type { Site, SiteSummary, Sites } from './sites.ts'
export type { Suggested, Suggestions } from './suggestions.ts'
export type { NewTablet, Tablet, Tablets } from './tablets.ts'
export type { ToneInUse } from './tones-in-use.ts'
export type { Trail, TrailEntry } from './trail.ts'
export type { FittedUnit, Fitting, NewFitting, Unit, Units } from './units.ts'
export type {
  HowEnded,
  NewVisit,
  NewVisitEnd,
  NewVisitFinding,
  Visit,
  VisitEnd,
  VisitRecord,
  Visits,
} from './visits.ts'
export type { PositionDue, VisitSummary } from './visits-due.ts'
export type { Walked } from './walked.ts'
export type { WetOrDryReading } from './wet-and-dry.ts'
export type { Written } from './writer.ts'

export interface Storage {
  people: People
  sessions: Sessions
  tablets: Tablets
  trail: Trail
  setupCodes: SetupCodes
  editions: Editions
  publications: Publications
  drafts: Drafts
  proposals: Proposals
  reports: Reports
  walked: Walked
  sites: Sites
  positions: Positions
  units: Units
  faults: Faults
  attendances: Attendances
  findings: Findings
  disturbances: Appends<NewDisturbance>
  restorations: Appends<NewRestoration>
  repairs: Appends<NewRepair>
  proofs: Appends<NewProof>
  photos: Photos
  identities: Appends<NewIdentityCheck>
  holdReleases: Appends<NewHoldRelease>
  handovers: Handovers
  closures: Closures
  engineerNotes: EngineerNotes
  pastFaults: PastFaults
  suggestions: Suggestions
  instruments: Instruments
  visits: Visits
  imports: Imports
  exports: Exports
  quality: Quality
  wetAndDry: WetAndDry
  tonesInUse: TonesInUse
  history: History
  reviews: Reviews
  reviewSettings: ReviewSettings
  workshopVisits: WorkshopVisits
  delays: Delays
  /** Who records together, and when answers may be given. */
  commits: SharedCommit
  /** What anybody else writes to the file is looked for now, and not again in this turn: for answers to a request. */
  lookOnce(): void
  /** All or nothing, at one moment; `fn` must not be async. Calls may nest. */
  transaction<T>(fn: () => T): T
}

/**
 * Prepares every statement once. `repeatWindowDays`: how long after one fault another at the same position is a
 * repeat fault.
 */
export function createStorage(
  db: Database,
  clock: () => Date,
  { repeatWindowDays = 90 }: { repeatWindowDays?: number } = {},
): Storage {
  const writer = createWriter(db, clock)
  const attendances = createAttendances(writer)
  const units = createUnits(writer)
  const sites = createSites(writer, repeatWindowDays)
  const positions = createPositions(writer)
  const sessions = createSessions(writer)
  return {
    people: createPeople(writer),
    sessions,
    tablets: createTablets(writer, sessions),
    trail: createTrail(writer),
    setupCodes: createSetupCodes(writer),
    editions: createEditions(writer),
    publications: createPublications(writer),
    drafts: createDrafts(writer),
    proposals: createProposals(writer),
    reports: createReports(writer),
    walked: createWalked(writer),
    sites,
    positions,
    units,
    faults: createFaults(writer, repeatWindowDays),
    attendances,
    findings: createFindings(writer, attendances),
    disturbances: createDisturbances(writer, attendances),
    restorations: createRestorations(writer, attendances),
    repairs: createRepairs(writer, attendances, units),
    proofs: createProofs(writer, attendances),
    photos: createPhotos(writer, attendances),
    identities: createIdentities(writer, attendances),
    holdReleases: createHoldReleases(writer),
    handovers: createHandovers(writer, attendances),
    closures: createClosures(writer, attendances),
    engineerNotes: createEngineerNotes(writer),
    pastFaults: createPastFaults(writer),
    suggestions: createSuggestions(writer),
    instruments: createInstruments(writer),
    visits: createVisits(writer),
    exports: createExports(writer),
    quality: createQuality(writer),
    imports: createImports(writer, { sites, positions, units }),
    wetAndDry: createWetAndDry(writer),
    tonesInUse: createTonesInUse(writer),
    history: createHistory(writer),
    reviews: createReviews(writer),
    reviewSettings: createReviewSettings(writer),
    workshopVisits: createWorkshopVisits(writer),
    delays: createDelays(writer),
    commits: writer.commits,
    lookOnce: () => lookOnce(writer.db),
    transaction: writer.write,
  }
}
