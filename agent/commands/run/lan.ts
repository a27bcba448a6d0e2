/**
 * Listens on the network that the owner chose, as long as it is there: an interface that comes late, goes away or gets
 * another address is followed. Never on more than was chosen. A choice made by the switch is remembered by the caller;
 * one of the command line holds for this run.
 */
import { hostname, networkInterfaces } from 'node:os';
import { WattkeepError } from '#kit';
import { urlHost } from '../../server/access.ts';
import { chooseNetwork, type Network, networksOf } from '../../sharing/index.ts';

/** How soon a change of the computer's addresses is followed, ms. */
const LOOK_EVERY_MS = 10_000;

/** An interface by its name, or null: the only one there is. */
export type Wanted = { readonly name: string | null } | null;

export interface LanParts {
  /** What listens; null until it does. */
  server(): {
    readonly port: number;
    open(address: string, names: readonly string[]): Promise<void>;
    shut(address: string): Promise<void>;
  } | null;
  /** Own addresses now. */
  networks(): Network[];
  after(delayMs: number, act: () => void): () => void;
  note(message: string, fields: Readonly<Record<string, unknown>>): void;
}

export interface LanState {
  readonly on: boolean;
  readonly interface: string | null;
  readonly addresses: readonly string[];
  readonly trouble: string;
  readonly networks: readonly Network[];
}

/** The name under which a network with mDNS knows this computer. */
export const localName = (): string => `${hostname().split('.')[0]!.toLowerCase()}.local`;
export const networksNow = (): Network[] => networksOf(networkInterfaces());

export function createLan({ server, networks, after, note }: LanParts) {
  let wanted: Wanted = null;
  let open: Network | null = null;
  let trouble = '';
  let turn: Promise<void> = Promise.resolve();
  let cancel: (() => void) | null = null;

  const names = () => [localName()];

  async function shut(): Promise<void> {
    const old = open;
    open = null;
    if (old === null) return;
    await server()?.shut(old.address);
    note('no longer shared', { interface: old.name, address: old.address });
  }

  /** Makes what is so what is wanted; throws where it cannot. */
  async function settle(): Promise<void> {
    if (wanted === null) return shut();
    let next: Network;
    try {
      next = chooseNetwork(networks(), wanted.name);
    } catch (cause) {
      await shut();
      throw cause;
    }
    if (open?.address === next.address) return;
    await shut();
    await server()?.open(next.address, names());
    open = next;
    note('shared', { interface: next.name, address: next.address });
  }

  /** One after the other; what hinders it is kept as its trouble. */
  function settleNext(): Promise<void> {
    const mine = turn.then(async () => {
      try {
        await settle();
        trouble = '';
      } catch (cause) {
        if (!(cause instanceof WattkeepError)) throw cause;
        trouble = `${cause.message} ${cause.fix}`;
        throw cause;
      }
    });
    turn = mine.catch(() => undefined);
    return mine;
  }

  function look(): void {
    cancel = after(LOOK_EVERY_MS, () => {
      void settleNext().catch((cause: unknown) => {
        if (!(cause instanceof WattkeepError)) note('sharing failed', { cause: String(cause) });
      });
      look();
    });
  }

  return {
    state(): LanState {
      const port = server()?.port ?? 0;
      return {
        on: wanted !== null,
        interface: open?.name ?? wanted?.name ?? null,
        addresses: open === null ? [] : [`http://${urlHost(open.address)}:${port}/`],
        trouble,
        networks: networks(),
      };
    },
    /** Begins to follow what is wanted, and to look whether it changed. */
    async start(first: Wanted): Promise<void> {
      wanted = first;
      look();
      await settleNext().catch((cause: unknown) => {
        if (!(cause instanceof WattkeepError)) throw cause;
      });
    },
    /** The owner chose; throws where it cannot be, and leaves it then as it was before. */
    async want(next: Wanted): Promise<void> {
      const before = wanted;
      // The name is settled now, so that another interface that comes later changes nothing.
      wanted = next === null ? null : { name: chooseNetwork(networks(), next.name).name };
      try {
        await settleNext();
      } catch (cause) {
        wanted = before;
        await settleNext().catch(() => undefined);
        throw cause;
      }
    },
    wanted: () => wanted,
    async close(): Promise<void> {
      cancel?.();
      await turn;
    },
  };
}

export type Lan = ReturnType<typeof createLan>;
