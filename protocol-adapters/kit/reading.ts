/**
 * What a source said at one moment. Missing is null with a reason: never 0, never NaN, never the last value again.
 * Order and identity come from (session, seq); wall time is an attribute that may turn out wrong.
 */
import type { QuantityKey } from './quantities.ts';

export type Tri = true | false | 'unknown';
export type InputSource = 'sun' | 'wall' | 'vehicle' | 'generator' | 'unknown';
export type InputLimit = 'nothing' | 'full' | 'port' | 'cold' | 'owner' | 'unknown';

export interface States {
  acOutletsOn?: Tri;
  dcOutletsOn?: Tri;
  /** Output is fed through by the wall. */
  onMains?: Tri;
  inputLimitedBy?: InputLimit;
  /** What the input comes from. Unknown is never harvest. */
  inputSource?: InputSource;
  /** The station's own words for a fault, at most 80 characters; absent where it reports none. */
  fault?: string;
}

/** Why a value is missing or doubted. */
export type ReasonCode =
  | 'notGiven' // the source left it out of this frame
  | 'notAvailable' // the source says it does not know
  | 'outOfRange'
  | 'wrongType'
  | 'inconsistent';

export type Quality = 'good' | 'uncertain' | 'bad';
export type ClockState = 'synced' | 'stepped' | 'unknown';
export type Quantities = { [K in QuantityKey]?: number | null };
export type Reasons = { [K in QuantityKey]?: ReasonCode };

/** What an adapter's decode gives: the kit and the agent add identity and time. */
export interface DecodedReading {
  quantities: Quantities;
  states: States;
  quality: Quality;
  reasons: Reasons;
}

/** Where frames of several kinds come from one place, each kind is a part with a name of its own. */
export type PartReading = DecodedReading & { readonly part?: string };

export interface Reading extends DecodedReading {
  /** Station id from the settings file. */
  station: string;
  /** One connection of one agent run; unique over the record's life. */
  session: string;
  /** Counts up from 1 within a session. */
  seq: number;
  /** Monotonic ms since the agent started. */
  monoMs: number;
  /** UTC epoch ms. */
  at: number;
  clock: ClockState;
  /** Typed in by the owner from the station's screen. */
  typed?: true;
}

/** Why a frame gave no reading. Closed: each is counted and shown under these words. */
export type RejectionCause =
  | 'tooLong' // frame over the ceiling
  | 'incomplete' // bytes left when the link closed or went silent
  | 'notText' // not valid UTF-8
  | 'notJson'
  | 'notObject'
  | 'noQuantity' // nothing known in it
  | 'checksum'
  | 'malformed' // its lengths or fields contradict each other
  | 'unexpected' // a frame that answers no question
  | 'unanswered' // a question without an answer in time
  | 'refused' // the station answered that it will not
  | 'wrongProtocol' // the station does not speak this protocol
  | 'tooFast' // over the adapter's rate ceiling
  | 'adapterError'; // decode threw

export interface Rejection {
  rejected: RejectionCause;
  /** At most 120 characters, printable, for the workbench and the log. */
  detail: string;
}

export const isRejection = (r: DecodedReading | Rejection): r is Rejection => 'rejected' in r;
