// Everything the program stores, by subject. `find` gives null, `get` throws 'not found'.
// Each write carries an id chosen by the client: sending it again with the same content writes nothing and says so;
// the same id with other content is a 'conflict', and so is writing to a fault that is closed, or in an attendance
// that has ended or is another person's.

import { lookOnce } from './engine/row-cache.ts'
import { createSentForms, type SentForms } from './engine/sent-forms.ts'
import type { SharedCommit } from './engine/shared-commit.ts'
import type { Connection } from './engine/sql.ts'
import { createTrail, type Trail } from './engine/trail.ts'
import { createWriter, type Writer } from './engine/writer.ts'
import { createExports, type Exports } from './exchange/export.ts'
import { createImports, type Imports } from './exchange/imports.ts'
import { createTabletCopies, type TabletCopies } from './exchange/tablet-copy.ts'
import type { Appends } from './faults/attendances.ts'
import { type Attendances, createAttendances } from './faults/attendances.ts'
import { type Closures, createClosures } from './faults/closures.ts'
import { createDisturbances, type NewDisturbance } from './faults/disturbances.ts'
import { createEngineerNotes, type EngineerNotes } from './faults/engineer-notes.ts'
import { createFaultRegister, type FaultRegister } from './faults/fault-register.ts'
import { createFaults, type Faults } from './faults/faults.ts'
import { createFindings, type Findings } from './faults/findings.ts'
import { createHandovers, type Handovers } from './faults/handovers.ts'
import { createHoldReleases, type NewHoldRelease } from './faults/hold-releases.ts'
import { createIdentities, type NewIdentityCheck } from './faults/identities.ts'
import { createPastFaults, type PastFaults } from './faults/past-faults.ts'
import { createPhotos, type Photos } from './faults/photos.ts'
import { createProofs, type NewProof } from './faults/proofs.ts'
import { createRepairs, type NewRepair } from './faults/repairs.ts'
import { createRestorations, type NewRestoration } from './faults/restorations.ts'
import { createSuggestions, type Suggestions } from './faults/suggestions.ts'
import { createHistory, type History } from './history/history.ts'
import { createKnownSpans, type KnownSpans } from './history/known-spans.ts'
import { createQuality, type Quality } from './history/quality.ts'
import {
  createDelays,
  createWorkshopVisits,
  type Delays,
  type WorkshopVisits,
} from './history/review-later.ts'
import { createReviewSettings, type ReviewSettings } from './history/review-settings.ts'
import { createReviews, type Reviews } from './history/reviews.ts'
import { createWalked, type Walked } from './history/walked.ts'
import { createWetAndDry, type WetAndDry } from './history/wet-and-dry.ts'
import { createDrafts, type Drafts } from './knowledge/drafts.ts'
import { createEditions, type Editions } from './knowledge/editions.ts'
import { createProposals, type Proposals } from './knowledge/proposals.ts'
import { createPublications, type Publications } from './knowledge/publications.ts'
import { createReports, type Reports } from './knowledge/reports.ts'
import { createPeople, type People } from './people/people.ts'
import { createSessions, type Sessions } from './people/sessions.ts'
import { createSetupCodes, type SetupCodes } from './people/setup-codes.ts'
import { createShifts, type Shifts } from './people/shifts.ts'
import { createTablets, type Tablets } from './people/tablets.ts'
import { createInstruments, type Instruments } from './railway/instruments.ts'
import { createPlaceChanges, type PlaceChanges } from './railway/place-changes.ts'
import { createPositions, type Positions } from './railway/positions.ts'
import { createSetUp, type SetUp } from './railway/set-up.ts'
import { createSites, type Sites } from './railway/sites.ts'
import { createTonesInUse, type TonesInUse } from './railway/tones-in-use.ts'
import { createUnitLife, type UnitLife } from './railway/unit-life.ts'
import { createUnits, type Units } from './railway/units.ts'
import { createVisits, type Visits } from './railway/visits.ts'

export type { Trail, TrailEntry } from './engine/trail.ts'
export type { Written } from './engine/writer.ts'
export type { ExportedValue, Exports, ExportTable } from './exchange/export.ts'
export type { Bringing, ImportRow, Imports, RowOutcome, WhyGivenUp } from './exchange/imports.ts'
export type { Loading } from './exchange/load-row.ts'
export type { Appends, Attendances, EndedHow, NewAttendance } from './faults/attendances.ts'
export type { Closures, NewClosure, NewSignature } from './faults/closures.ts'
export type { NewDisturbance } from './faults/disturbances.ts'
export type { EngineerNote, EngineerNotes, NewEngineerNote } from './faults/engineer-notes.ts'
export type { FaultSummary, Faults, NewFault } from './faults/faults.ts'
export type { NewFinding } from './faults/findings.ts'
export type { Handovers, NewConfirmation, NewHandover } from './faults/handovers.ts'
export type { NewHoldRelease } from './faults/hold-releases.ts'
export type { NewIdentityCheck } from './faults/identities.ts'
export type { NewPhoto, Photo, Photos } from './faults/photos.ts'
export type { NewProof } from './faults/proofs.ts'
export type { NewRepair, NewSwap } from './faults/repairs.ts'
export type { NewRestoration } from './faults/restorations.ts'
export type { Suggested, Suggestions } from './faults/suggestions.ts'
export type { History } from './history/history.ts'
export type { KnownSpans, NewKnownSpan } from './history/known-spans.ts'
export type { Quality, QualityFault } from './history/quality.ts'
export type { Review, ReviewEntry, Reviews } from './history/reviews.ts'
export type { Walked } from './history/walked.ts'
export type { WetOrDryReading } from './history/wet-and-dry.ts'
export type { Draft, Drafts, DraftText, NewDraft, NewDraftText } from './knowledge/drafts.ts'
export type { EditionFile, EditionRow, Editions, NewEdition } from './knowledge/editions.ts'
export type { Decision, NewProposal, Proposal, ProposalState, Proposals } from './knowledge/proposals.ts'
export type { NewPublication, Publication, Publications, TreeWithdrawal } from './knowledge/publications.ts'
export type { FieldReport, NewFieldReport, ReportAnswer, Reports } from './knowledge/reports.ts'
export type { Given, NewPerson, People, Person, Role } from './people/people.ts'
export type { Session, Sessions } from './people/sessions.ts'
export type { SetupCodes } from './people/setup-codes.ts'
export type { ArrivedAct, LateAct, Shift, Shifts } from './people/shifts.ts'
export type { NewTablet, Tablet, Tablets } from './people/tablets.ts'
export type { Instruments, KeptInstrument, ReadingOutOfDate } from './railway/instruments.ts'
export type { PlaceChange, PlaceChanges } from './railway/place-changes.ts'
export type { NewPosition, Position, Positions } from './railway/positions.ts'
export type { SetUpCounts } from './railway/set-up.ts'
export type { Site, SiteSummary, Sites } from './railway/sites.ts'
export type { ToneInUse } from './railway/tones-in-use.ts'
export type { FittedUnit, Fitting, NewFitting, Unit, Units } from './railway/units.ts'
export type {
  NewVisit,
  NewVisitEnd,
  NewVisitFinding,
  Visit,
  VisitEnd,
  VisitRecord,
  Visits,
} from './railway/visits.ts'
export type { HowEnded, PositionDue, VisitSummary } from './railway/visits-due.ts'

export interface Storage {
  people: People
  sessions: Sessions
  tablets: Tablets
  shifts: Shifts
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
  placeChanges: PlaceChanges
  units: Units
  unitLife: UnitLife
  faults: Faults
  faultRegister: FaultRegister
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
  tabletCopies: TabletCopies
  quality: Quality
  wetAndDry: WetAndDry
  tonesInUse: TonesInUse
  setUp: SetUp
  history: History
  knownSpans: KnownSpans
  reviews: Reviews
  reviewSettings: ReviewSettings
  workshopVisits: WorkshopVisits
  delays: Delays
  /** One commit for the writes of a turn, and when answers may be given. */
  commits: SharedCommit
  /** Looks now for what another program wrote to the file, and not again in this turn: for answers to a request. */
  lookOnce(): void
  /** All or nothing, at one moment; `fn` must not be async. Calls may nest. */
  transaction<T>(fn: () => T): T
  sentForms: SentForms
}

export interface StorageOptions {
  /** How long after one fault another at the same position is a repeat fault. */
  repeatWindowDays?: number
  /** Throws when what is written would be lost; asked before each commit. */
  mayCommit?: () => void
}

export function createStorage(
  db: Connection,
  clock: () => Date,
  { repeatWindowDays = 90, mayCommit }: StorageOptions = {},
): Storage {
  const writer = createWriter(db, clock, mayCommit)
  const places = {
    sites: createSites(writer, repeatWindowDays),
    positions: createPositions(writer),
    units: createUnits(writer),
  }
  return {
    ...places,
    placeChanges: createPlaceChanges(writer, places),
    unitLife: createUnitLife(writer, places.units),
    ...createRailway(writer),
    ...createPeopleStorage(writer),
    ...createKnowledge(writer),
    ...createFaultStorage(writer, places.units, repeatWindowDays),
    ...createPast(writer),
    imports: createImports(writer, places),
    exports: createExports(writer),
    tabletCopies: createTabletCopies(writer),
    trail: createTrail(writer),
    commits: writer.commits,
    lookOnce: () => lookOnce(db),
    transaction: writer.write,
    sentForms: createSentForms(writer),
  }
}

const createRailway = (writer: Writer) => ({
  instruments: createInstruments(writer),
  visits: createVisits(writer),
  tonesInUse: createTonesInUse(writer),
  setUp: createSetUp(writer),
})

function createPeopleStorage(writer: Writer) {
  const sessions = createSessions(writer)
  return {
    people: createPeople(writer),
    sessions,
    tablets: createTablets(writer, sessions),
    shifts: createShifts(writer),
    setupCodes: createSetupCodes(writer),
  }
}

const createKnowledge = (writer: Writer) => ({
  editions: createEditions(writer),
  publications: createPublications(writer),
  drafts: createDrafts(writer),
  proposals: createProposals(writer),
  reports: createReports(writer),
})

function createFaultStorage(writer: Writer, units: Units, repeatWindowDays: number) {
  const attendances = createAttendances(writer)
  return {
    faults: createFaults(writer, repeatWindowDays),
    faultRegister: createFaultRegister(writer),
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
  }
}

const createPast = (writer: Writer) => ({
  history: createHistory(writer),
  knownSpans: createKnownSpans(writer),
  quality: createQuality(writer),
  walked: createWalked(writer),
  wetAndDry: createWetAndDry(writer),
  reviews: createReviews(writer),
  reviewSettings: createReviewSettings(writer),
  workshopVisits: createWorkshopVisits(writer),
  delays: createDelays(writer),
})
