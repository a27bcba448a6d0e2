/** `wattkeep` without a verb: starts the agent, prints its address, stops on a signal. */
import { homedir } from 'node:os';
import { join } from 'node:path';
import { setFlagsFromString } from 'node:v8';
import { presumingZones } from '#messages';
import { createLog } from '../../log/log.ts';
import { defaultPaths, loadSettings, readCommandLine, resolveOptions, settingsFileOf } from '../../settings/index.ts';
import { qrText } from '../../sharing/index.ts';
import { prepareFolder } from '../../store/folder.ts';
import type { Invocation } from '../invocation.ts';
import { hereLink, invited, shareTold } from '../sharing-words.ts';
import { clock } from '../surroundings.ts';
import { demoNotice, HELP, STOPPING } from '../words.ts';
import { startAgent } from './agent.ts';
import { notifierOf } from './notify.ts';
import type { Shared } from './shared.ts';
import { askAtTerminal, settleLan } from './terminal.ts';
import type { ZoneChild } from './zone-child.ts';

/**
 * An agent stays for months and does little, what takes long runs in other processes: small code matters, speed does not.
 * Without a compiler of hot code 4 MB of Node's own are never touched.
 */
const SMALL = ['--optimize-for-size', '--no-sparkplug', '--no-opt', '--no-maglev', '--max-lazy'];

/** @param zones begun already; ended by the caller */
export async function run({ argv, dist, version }: Invocation, zones: ZoneChild): Promise<number> {
  const line = readCommandLine(argv, process.env);
  if (line.help) return say(HELP);
  if (line.version) return say(`${version}\n`);
  const system = notifierOf(process.env, clock.monoMs);
  for (const flag of SMALL) setFlagsFromString(flag);
  const paths = defaultPaths(process.platform, process.env, homedir());
  // The agent looks the zones up once it starts.
  const read = presumingZones(() => loadSettings(settingsFileOf(line, paths)));
  const options = resolveOptions(line, read.settings, paths);
  const lan = await settleLan(options.lan);
  prepareFolder(options.dataDir, true);
  const log = createLog({
    dir: join(options.dataDir, 'log'),
    level: read.settings.log.level,
    now: clock.nowMs,
    alsoTo: text => void process.stderr.write(text),
  });
  // Files made from here on are the owner's alone.
  process.umask(0o077);
  const agent = await startAgent({
    ...options,
    lan,
    settingsPath: options.settingsFile,
    settings: read,
    zones,
    allowDemo: options.demoAllowed,
    dist,
    version,
    log,
    onSettled: (failure, commitIntervalMs) => system?.settled(failure, commitIntervalMs),
  });
  const stop = stopSignal();
  system?.ready();
  console.log(agent.url);
  // Where it is not read at once it may be kept, by a journal or a file: there the owner asks for one (pair --here).
  if (process.stdout.isTTY === true) console.log(hereLink(agent.shared.door.linkHere().link));
  if (agent.demo) console.error(demoNotice(agent.url));
  await tellShared(agent.shared, process.stderr.isTTY === true || (options.lan !== undefined && system === null));
  const stopAsking = askAtTerminal(agent.shared);
  await stop;
  system?.stopping();
  stopAsking();
  await agent.close();
  log.close();
  return 0;
}

/**
 * Where it is shared; nothing where it is not.
 *
 * @param withCode for a first phone as well: not where it only goes on sharing and writes to a log that is kept
 */
async function tellShared({ door, sharing }: Shared, withCode: boolean): Promise<void> {
  const state = door.state();
  if (!state.on) return;
  process.stderr.write(shareTold(state));
  if (!withCode || state.addresses.length === 0 || sharing.isLocked()) return;
  const invitation = await door.invite();
  process.stderr.write(invited(invitation, qrText(invitation.qr, process.stderr.isTTY === true)));
}

function say(text: string): number {
  process.stdout.write(text);
  return 0;
}

/** The first signal asks, the second one does not wait. */
function stopSignal(): Promise<void> {
  let asked = false;
  return new Promise(resolve => {
    for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP'] as const)
      process.on(signal, () => {
        if (asked) process.exit(130);
        asked = true;
        console.error(STOPPING);
        resolve();
      });
  });
}
