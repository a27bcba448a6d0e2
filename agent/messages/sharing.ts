/** What page, command line and agent say about sharing: pairing, sessions, and the network it is shared on. */
import * as v from 'valibot';
import { SCOPES } from './scope.ts';

const scope = v.picklist(SCOPES);
const instant = v.pipe(v.string(), v.isoTimestamp());
const text = (longest: number) => v.pipe(v.string(), v.minLength(1), v.maxLength(longest));

/** A phone or browser asks to be let in with what it was shown, or asks again how its asking stands. */
export const PairAsked = v.union([
  v.strictObject({ secret: text(64), name: v.optional(v.pipe(v.string(), v.maxLength(200)), '') }),
  v.strictObject({ request: text(64) }),
]);
export const PairAnswer = v.object({
  /** `over`: nobody answered in time, or the agent was started anew. */
  state: v.picklist(['waiting', 'allowed', 'refused', 'over']),
  /** To ask again with; only while it waits. */
  request: v.optional(v.string()),
  /** The two words that both sides show. */
  words: v.optional(v.string()),
  scope: v.optional(scope),
});

/** What the asker's own session may. */
export const SessionAnswer = v.object({ scope, name: v.nullable(v.string()) });

/** An own address of this computer, by the name of its interface. */
const Network = v.object({ name: v.string(), address: v.string() });

export const SharingAnswer = v.object({
  on: v.boolean(),
  /** Said at the start with --host: no switch changes it. */
  fixed: v.boolean(),
  /** The interface chosen; null where none is. */
  interface: v.nullable(v.string()),
  /** Where others reach it now, one URL an address. */
  addresses: v.array(v.string()),
  /** Why it is on and yet not reached; '' where it is. */
  trouble: v.string(),
  networks: v.array(Network),
  /** Until when a code stands; null: none does. */
  invitedUntil: v.nullable(instant),
  /** Wrong tries since the owner last acted, and whether they were too many. */
  failures: v.number(),
  locked: v.boolean(),
  waiting: v.array(
    v.object({ id: v.string(), name: v.string(), address: v.string(), words: v.string(), askedAt: instant }),
  ),
  sessions: v.array(
    v.object({
      id: v.string(),
      kind: v.picklist(['browser', 'script']),
      name: v.string(),
      scope,
      /** Made on this computer for this computer: worth nothing elsewhere. */
      here: v.boolean(),
      address: v.string(),
      madeAt: instant,
      lastSeenAt: instant,
      /** Over the network it may change things until then, and look after; null where that does not apply. */
      changeUntil: v.nullable(instant),
    }),
  ),
});

export const SharingChoice = v.strictObject({ on: v.boolean(), interface: v.optional(text(64)) });
export const InvitationAnswer = v.object({
  /** With the token in its fragment. */
  link: v.string(),
  /** Eight characters, Crockford's base32. */
  code: v.string(),
  until: instant,
  /** The link as a QR code: rows of `1` (dark) and `0`, quiet zone included. */
  qr: v.array(v.string()),
});
export const HereLinkAnswer = v.object({ link: v.string(), until: instant });
/** `scope` null refuses. */
export const PairDecision = v.strictObject({ request: text(64), scope: v.nullable(scope) });
export const TokenAsked = v.strictObject({ name: text(200), scope });
export const TokenAnswer = v.object({ id: v.string(), token: v.string() });
export const SessionNamed = v.strictObject({ session: text(64) });

export type PairAsked = v.InferOutput<typeof PairAsked>;
export type PairAnswer = v.InferOutput<typeof PairAnswer>;
export type SessionAnswer = v.InferOutput<typeof SessionAnswer>;
export type SharingAnswer = v.InferOutput<typeof SharingAnswer>;
export type SharingChoice = v.InferOutput<typeof SharingChoice>;
export type InvitationAnswer = v.InferOutput<typeof InvitationAnswer>;
export type HereLinkAnswer = v.InferOutput<typeof HereLinkAnswer>;
export type PairDecision = v.InferOutput<typeof PairDecision>;
export type TokenAsked = v.InferOutput<typeof TokenAsked>;
export type TokenAnswer = v.InferOutput<typeof TokenAnswer>;
