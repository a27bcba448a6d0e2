/** Sharing as the server's routes ask for it: the network, pairing and the sessions together, and what is remembered. */
import { WattkeepError } from '#kit';
import type { SharingAnswer } from '#messages';
import { urlHost } from '../../server/access.ts';
import type { SharingDoor } from '../../server/deps.ts';
import { toInstant } from '../../server/encode.ts';
import { type Asking, qrRows, type Sharing } from '../../sharing/index.ts';
import type { Lan } from './lan.ts';

export interface SharingDoorParts {
  readonly sharing: Sharing;
  readonly lan: Lan;
  /** `http://127.0.0.1:PORT/`; '' until it listens. */
  url(): string;
  /** Started on every address: no switch changes that. */
  readonly everywhere: boolean;
  /** Keeps the owner's choice: an interface, or undefined where sharing is off. */
  remember(lan: string | undefined): Promise<void>;
}

const fixedHere = () =>
  new WattkeepError(
    'REQUEST_REFUSED',
    'wattkeep was started on every address with --host.',
    'Start it without --host to use the switch.',
  );

export function createSharingDoor(parts: SharingDoorParts): SharingDoor {
  const { sharing, lan, url } = parts;
  const reached = (): readonly string[] => {
    if (!parts.everywhere) return lan.state().addresses;
    const { port } = new URL(url());
    return lan.state().networks.map(({ address }) => `http://${urlHost(address)}:${port}/`);
  };
  return {
    state: () => stateOf(parts, reached()),
    async choose({ on, interface: name }) {
      if (parts.everywhere) throw fixedHere();
      await lan.want(on ? { name: name ?? null } : null);
      if (!on) sharing.withdraw();
      await parts.remember(on ? (lan.wanted()?.name ?? undefined) : undefined);
    },
    async invite() {
      const [address] = reached();
      if (address === undefined)
        throw new WattkeepError(
          'NETWORK_MISSING',
          lan.state().on ? `Nobody can be let in now. ${lan.state().trouble}` : 'It is not shared on any network.',
          'Share it first: wattkeep share on, or the switch in Setup.',
        );
      const { token, code, until } = sharing.invite();
      const link = `${address}pair#${token}`;
      return { link, code, until: toInstant(until), qr: await qrRows(link) };
    },
    linkHere() {
      const { token, until } = sharing.linkHere();
      return { link: `${url()}pair#${token}`, until: toInstant(until) };
    },
    decide(request, scope) {
      if (!sharing.decide(request, scope))
        throw new WattkeepError('REQUEST_INVALID', 'Nobody of that name waits any more.', 'Ask for a new code.');
    },
    unlock: () => sharing.unlock(),
    createToken: ({ name, scope }) => sharing.createToken(name, scope),
    revoke(session) {
      if (!sharing.revoke(session))
        throw new WattkeepError('REQUEST_INVALID', 'There is no session of that id.', 'Look at the list again.');
    },
    pair(asked, from) {
      const asking =
        'secret' in asked ? sharing.tryIn(asked.secret, asked.name, from) : sharing.askAgain(asked.request);
      return { answer: answerOf(asking), token: asking.state === 'allowed' ? asking.token : null };
    },
  };
}

/** Without the token, which travels in the cookie alone. */
function answerOf(asking: Asking): ReturnType<SharingDoor['pair']>['answer'] {
  if (asking.state === 'waiting') return asking;
  return asking.state === 'allowed' ? { state: 'allowed', scope: asking.scope } : { state: asking.state };
}

function stateOf({ sharing, lan, everywhere }: SharingDoorParts, addresses: readonly string[]): SharingAnswer {
  const { on, interface: name, trouble, networks } = lan.state();
  const until = sharing.invitedUntil();
  return {
    on: on || everywhere,
    fixed: everywhere,
    interface: name,
    addresses: [...addresses],
    trouble,
    networks: [...networks],
    invitedUntil: until === null ? null : toInstant(until),
    failures: sharing.failures(),
    locked: sharing.isLocked(),
    waiting: sharing.waiting().map(({ id, name: called, address, words, askedAt }) => ({
      id,
      name: called,
      address,
      words,
      askedAt: toInstant(askedAt),
    })),
    sessions: sharing.sessions().map(({ digest: _, changeUntil, madeAt, lastSeenAt, lastAddress, ...told }) => ({
      ...told,
      address: lastAddress,
      madeAt: toInstant(madeAt),
      lastSeenAt: toInstant(lastSeenAt),
      changeUntil: changeUntil === null ? null : toInstant(changeUntil),
    })),
  };
}
