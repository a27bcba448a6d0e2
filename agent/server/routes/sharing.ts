/**
 * Sharing: the switch and its network, pairing from both sides, and who may come in. Only what pairing itself needs is
 * open to strangers; all that decides is answered on this machine alone.
 */
import * as v from 'valibot';
import {
  DoneAnswer,
  HereLinkAnswer,
  InvitationAnswer,
  PairAnswer,
  PairAsked,
  PairDecision,
  SessionAnswer,
  SessionNamed,
  SharingAnswer,
  SharingChoice,
  TokenAnswer,
  TokenAsked,
} from '#messages';
import type { ServerDeps, SessionBook, SharingDoor } from '../deps.ts';
import { HEALTH_PATH, PAIR_PATH } from '../http.ts';
import { json, type Route } from '../router.ts';

const Nothing = v.strictObject({});
/** The cookie outlives any session: that one is over is decided here. Browsers keep none for longer than 400 days. */
const COOKIE_LIVES_S = 400 * 86_400;

type Parts = Pick<ServerDeps, 'sharing' | 'sessions' | 'health'>;

export function sharingRoutes({ sharing, sessions, health }: Parts): Route[] {
  return [
    ...openRoutes(sharing, sessions, health),
    ...sessionRoutes(sharing, sessions),
    ...ownersRoutes(sharing),
    ...inviting(sharing),
  ];
}

const cookie = (name: string, value: string, livesS: number): string =>
  `${name}=${value}; Max-Age=${livesS}; Path=/; HttpOnly; SameSite=Strict`;

function openRoutes(sharing: SharingDoor, { cookieName }: SessionBook, health: ServerDeps['health']): Route[] {
  return [
    {
      method: 'POST',
      path: PAIR_PATH,
      summary: 'Asks to be let in with a link’s token or a typed code, then how that asking stands',
      open: true,
      query: {},
      takes: PairAsked,
      gives: PairAnswer,
      answer({ body, caller }) {
        const { answer, token } = sharing.pair(body as PairAsked, caller);
        return json(answer, token === null ? {} : { 'Set-Cookie': cookie(cookieName, token, COOKIE_LIVES_S) });
      },
    },
    {
      method: 'GET',
      path: HEALTH_PATH,
      summary: 'ok, or not ok where nothing can be saved; nothing more',
      open: true,
      query: {},
      takes: null,
      gives: 'text/plain',
      answer() {
        const ok = health().saved.trouble === null;
        return { status: ok ? 200 : 503, type: 'text/plain; charset=utf-8', body: ok ? 'ok\n' : 'not ok\n' };
      },
    },
  ];
}

function sessionRoutes(sharing: SharingDoor, { cookieName }: SessionBook): Route[] {
  return [
    {
      method: 'GET',
      path: '/api/session',
      summary: 'What this browser or script may',
      query: {},
      takes: null,
      gives: SessionAnswer,
      answer: ({ caller }) => json({ scope: caller.scope, name: caller.session?.name ?? null }),
    },
    {
      method: 'POST',
      path: '/api/session/end',
      summary: 'Ends one’s own session',
      needs: 'view',
      query: {},
      takes: Nothing,
      gives: DoneAnswer,
      answer({ caller }) {
        if (caller.session !== null) sharing.revoke(caller.session.id);
        return json({ done: true }, { 'Set-Cookie': cookie(cookieName, '', 0) });
      },
    },
  ];
}

function ownersRoutes(sharing: SharingDoor): Route[] {
  return [
    {
      method: 'GET',
      path: '/api/sharing',
      summary: 'Whether it is shared and where, who waits to be let in, and who may come in',
      needs: 'change',
      hereOnly: true,
      query: {},
      takes: null,
      gives: SharingAnswer,
      answer: () => json(sharing.state()),
    },
    {
      method: 'POST',
      path: '/api/sharing',
      summary: 'Shares on a network, or no longer; remembered',
      hereOnly: true,
      query: {},
      takes: SharingChoice,
      gives: SharingAnswer,
      async answer({ body }) {
        await sharing.choose(body as SharingChoice);
        return json(sharing.state());
      },
    },
    {
      method: 'POST',
      path: '/api/sharing/tokens',
      summary: 'A token for a script; shown this once',
      hereOnly: true,
      query: {},
      takes: TokenAsked,
      gives: TokenAnswer,
      answer: ({ body }) => json(sharing.createToken(body as TokenAsked)),
    },
    {
      method: 'POST',
      path: '/api/sharing/revoke',
      summary: 'Ends a session and closes its connections',
      hereOnly: true,
      query: {},
      takes: SessionNamed,
      gives: DoneAnswer,
      answer({ body }) {
        sharing.revoke((body as v.InferOutput<typeof SessionNamed>).session);
        return json({ done: true });
      },
    },
  ];
}

function inviting(sharing: SharingDoor): Route[] {
  return [
    {
      method: 'POST',
      path: '/api/sharing/invitation',
      summary: 'A link and a code for one phone, in place of the ones before; five minutes',
      hereOnly: true,
      query: {},
      takes: Nothing,
      gives: InvitationAnswer,
      answer: async () => json(await sharing.invite()),
    },
    {
      method: 'POST',
      path: '/api/sharing/here-link',
      summary: 'A link that lets one browser of this machine change things',
      hereOnly: true,
      query: {},
      takes: Nothing,
      gives: HereLinkAnswer,
      answer: () => json(sharing.linkHere()),
    },
    {
      method: 'POST',
      path: '/api/sharing/decision',
      summary: 'Lets a waiting phone in, so far, or refuses it',
      hereOnly: true,
      query: {},
      takes: PairDecision,
      gives: DoneAnswer,
      answer({ body }) {
        const { request, scope } = body as PairDecision;
        sharing.decide(request, scope);
        return json({ done: true });
      },
    },
    {
      method: 'POST',
      path: '/api/sharing/unlock',
      summary: 'Forgets the wrong codes that were tried',
      hereOnly: true,
      query: {},
      takes: Nothing,
      gives: DoneAnswer,
      answer() {
        sharing.unlock();
        return json({ done: true });
      },
    },
  ];
}
