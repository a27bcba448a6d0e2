/** Sharing in the running agent: sessions, the network and their door, opened once the record is this agent's. */
import type { Settings } from '#messages';
import type { Log } from '../../log/log.ts';
import type { SessionBook, SharingDoor } from '../../server/deps.ts';
import { isEveryHost } from '../../server/listeners.ts';
import type { RunningServer } from '../../server/serve.ts';
import { openSharing, removeDoor, type Sharing, writeDoor } from '../../sharing/index.ts';
import { clock, timers } from '../surroundings.ts';
import { createLan, type Lan, networksNow } from './lan.ts';
import { createSharingDoor } from './sharing-door.ts';

export interface SharedParts {
  readonly dataDir: string;
  readonly host: string;
  /** For this run: an interface, '' for the only one; undefined: as the settings say. */
  readonly lan: string | undefined;
  readonly log: Log;
  server(): RunningServer | null;
  remember(lan: string | undefined): Promise<void>;
}

export interface Shared {
  readonly sharing: Sharing & SessionBook;
  readonly lan: Lan;
  readonly door: SharingDoor;
  /** Once it listens: shares as was asked for, and lets the verbs find it. */
  start(settings: Settings): Promise<void>;
  /** The settings may have another network now. */
  follow(settings: Settings): Promise<void>;
  close(): Promise<void>;
}

const wantedBy = (lan: string | undefined) => (lan === undefined ? null : { name: lan === '' ? null : lan });

export function openShared({ dataDir, host, lan: asked, log, server, remember }: SharedParts): Shared {
  const note = (message: string, fields: Readonly<Record<string, unknown>>) => log.info('sharing', message, fields);
  const sharing = openSharing({ dataDir, nowMs: clock.nowMs, note });
  const lan = createLan({ server, networks: networksNow, after: timers.after, note });
  const everywhere = isEveryHost(host);
  let followed: string | undefined;
  const door = createSharingDoor({
    sharing,
    lan,
    url: () => server()?.url ?? '',
    everywhere,
    async remember(chosen) {
      // The choice is in force already: applying the settings must not make it twice.
      followed = chosen;
      await remember(chosen);
    },
  });
  return {
    sharing,
    lan,
    door,
    async start(settings) {
      followed = settings.server.lan;
      await lan.start(everywhere ? null : wantedBy(asked ?? followed));
      const hindrance = writeDoor(dataDir, { url: server()!.url, pid: process.pid, token: sharing.ownerToken });
      if (hindrance !== null) log.warn('sharing', 'the verbs will not find this agent', { cause: hindrance });
    },
    async follow({ server: { lan: next } }) {
      if (next === followed || everywhere) return;
      followed = next;
      await lan.want(wantedBy(next)).catch((cause: unknown) => log.warn('sharing', String(cause)));
    },
    async close() {
      removeDoor(dataDir);
      await lan.close();
      sharing.close();
    },
  };
}
