/** Sharing as the agent has it, on a hand clock, with one network that every Linux machine has: 127.0.0.2. */
import { createLan } from '../../agent/commands/run/lan.ts';
import { createSharingDoor } from '../../agent/commands/run/sharing-door.ts';
import type { RunningServer } from '../../agent/server/serve.ts';
import { openSharing } from '../../agent/sharing/index.ts';
import type { HandClock } from './hand-clock.ts';

/** Not 127.0.0.1, so it is a network's: which way a connection came is told by the listening address. */
export const NETWORK_ADDRESS = '127.0.0.2';

export type StagedSharing = ReturnType<typeof stageSharing>;

export function stageSharing(dataDir: string, clock: HandClock, server: () => RunningServer | null) {
  const notes: { message: string; fields: object }[] = [];
  const note = (message: string, fields: object) => void notes.push({ message, fields });
  const sharing = openSharing({ dataDir, nowMs: () => clock.now(), note });
  const networks = () => [{ name: 'yard0', address: NETWORK_ADDRESS }];
  const lan = createLan({ server, networks, after: (delayMs, act) => clock.after(delayMs, act), note });
  const remembered: (string | undefined)[] = [];
  const door = createSharingDoor({
    sharing,
    lan,
    url: () => server()?.url ?? '',
    everywhere: false,
    remember: async chosen => void remembered.push(chosen),
  });
  return { sharing, lan, door, notes, remembered };
}
