/** `wattkeep doctor`: what is well and what is not on this computer, each with what to do. Changes nothing. */
import { existsSync, statfsSync } from 'node:fs';
import { homedir } from 'node:os';
import { join } from 'node:path';
import { WattkeepError } from '#kit';
import { containment } from '../host/containment.ts';
import { lookAtFolder } from '../own-adapters/index.ts';
import { loadSettings, parseArguments } from '../settings/index.ts';
import { hasRecord } from '../store/folder.ts';
import { openRecord } from '../store/open.ts';
import { listSerialPorts } from '../transports/list-ports.ts';
import { folderOf, settingsPathOf } from './adapter-place.ts';
import { agentFinding } from './agent-finding.ts';
import { bluetoothTrouble } from './bluetooth-finding.ts';
import { NETWORK_HELD, NETWORK_OPEN, OWN_SPACE, whyHeld } from './containment-words.ts';
import type { Invocation } from './invocation.ts';
import { dataDirOf } from './open-past.ts';
import { aheadTold, brokenDay, notesTold } from './record-words.ts';
import { serviceFinding } from './service-finding.ts';
import { sharingFinding } from './sharing-finding.ts';
import { clock, machineZone } from './surroundings.ts';
import { webhookFinding } from './webhook-finding.ts';

interface Finding {
  what: string;
  state: 'well' | 'note' | 'wrong';
  says: string;
}

const LEAST_FREE_BYTES = 500_000_000;
const FAULTS_TOLD = 10;

export async function doctor({ argv, dist }: Invocation): Promise<number> {
  const { values, switches } = parseArguments(argv, { values: ['data', 'settings'], switches: ['json', 'help'] });
  const dir = dataDirOf(values.get('data')?.at(-1));
  const file = values.get('settings')?.at(-1);
  const host = [node(), zone(), await serial(), await bluetooth(dist)];
  const findings = [
    settings(file),
    ...record(dir),
    space(dir),
    ...host,
    contained(),
    ...ownAdapters(file, dir),
    ...webhook(file, dir),
    ...(await agentFinding(dir)).map(found => ({ what: 'agent', ...found })),
    { what: 'sharing', ...(await sharingFinding(dir)) },
    ...service(dist, file),
  ];
  if (switches.has('json')) process.stdout.write(`${JSON.stringify({ findings })}\n`);
  else
    for (const { what, state, says } of findings) process.stdout.write(`${state.padEnd(6)}${what.padEnd(13)}${says}\n`);
  return findings.some(f => f.state === 'wrong') ? 1 : 0;
}

function webhook(file: string | undefined, dir: string): Finding[] {
  const found = webhookFinding(file, dir);
  return found === null ? [] : [{ what: 'webhook', ...found }];
}

function service(dist: string, file: string | undefined): Finding[] {
  const found = serviceFinding(dist, file);
  return found === null ? [] : [{ what: 'service', ...found }];
}

function node(): Finding {
  const major = Number(process.versions.node.split('.')[0]);
  const says = `Node.js ${process.versions.node}`;
  return major < 22
    ? { what: 'Node.js', state: 'note', says: `${says} is past its end of life; install 22 or 24.` }
    : { what: 'Node.js', state: 'well', says };
}

function settings(file: string | undefined): Finding {
  const path = settingsPathOf(file);
  try {
    const { settings: read } = loadSettings(path);
    return { what: 'settings', state: 'well', says: `${path}: ${read.station.length} station(s)` };
  } catch (error) {
    if (error instanceof WattkeepError)
      return { what: 'settings', state: 'wrong', says: `${error.message} ${error.fix}` };
    throw error;
  }
}

/** Both records, each checked page by page and seal by seal. */
function record(dir: string): Finding[] {
  const found = ['record', 'demo'].flatMap((kind): Finding[] => {
    try {
      if (!hasRecord(join(dir, kind))) return [];
      const opened = openRecord(join(dir, kind), {
        nowMs: clock.nowMs,
        commitIntervalMs: 0,
        readOnly: true,
        demo: kind === 'demo',
      });
      const damage = opened.check();
      // Seals are no news about a file that cannot be read.
      const broken = damage.length > 0 ? [] : opened.checkSeals();
      const { notes = [], logBytes = 0, lastSavedAt } = opened.savedState();
      const faults = [...damage, ...broken.map(({ date, station }) => `${brokenDay(date)} (${station}).`)];
      opened.close();
      const whole = `${join(dir, kind)}, log ${Math.ceil(logBytes / 1e6)} MB`;
      const told = [...notesTold(notes), ...aheadTold(lastSavedAt, clock.nowMs())];
      if (faults.length === 0 && told.length > 0)
        return [{ what: kind, state: 'note', says: `${whole}. ${told.join(' ')}` }];
      if (faults.length === 0) return [{ what: kind, state: 'well', says: whole }];
      const says = `${faults.slice(0, FAULTS_TOLD).join(' ')} Keep a copy of the folder before anything else.`;
      return [{ what: kind, state: 'wrong', says }];
    } catch (error) {
      if (error instanceof WattkeepError)
        return [{ what: kind, state: 'wrong', says: `${error.message} ${error.fix}` }];
      throw error;
    }
  });
  return found.length === 0 ? [{ what: 'record', state: 'note', says: `none yet in ${dir}` }] : found;
}

function space(dir: string): Finding {
  const { bavail, bsize } = statfsSync(existsSync(dir) ? dir : homedir());
  const free = `${Math.round((bavail * bsize) / 1e6)} MB free`;
  return bavail * bsize < LEAST_FREE_BYTES
    ? { what: 'disk', state: 'wrong', says: `${free}; make room, or saving stops.` }
    : { what: 'disk', state: 'well', says: free };
}

const zone = (): Finding => ({ what: 'time zone', state: 'well', says: machineZone() });

async function serial(): Promise<Finding> {
  const { ports, trouble } = await listSerialPorts();
  if (trouble !== null)
    return { what: 'serial', state: 'note', says: `ports cannot be listed (${trouble}); name yours by hand in Setup.` };
  return {
    what: 'serial',
    state: 'well',
    says: ports.length === 0 ? 'no port plugged in' : ports.map(p => p.path).join(', '),
  };
}

/** Nothing but Bluetooth stations needs it. */
async function bluetooth(dist: string): Promise<Finding> {
  const trouble = await bluetoothTrouble(dist);
  return trouble === null
    ? { what: 'Bluetooth', state: 'well', says: 'switched on and may be used' }
    : { what: 'Bluetooth', state: 'note', says: `${trouble}. Only Bluetooth stations need it.` };
}

/** How far an adapter of the owner's own is held, as found out by trying. */
function contained(): Finding {
  const { level, hindrance, detail, networkOpen, buffersLimited } = containment();
  const memory = buffersLimited ? '' : ' Their memory is limited only in part: install prlimit (util-linux).';
  if (level === 2) return { what: 'containment', state: 'well', says: `${OWN_SPACE}${memory}` };
  const says = `${networkOpen ? NETWORK_OPEN : NETWORK_HELD} ${whyHeld(hindrance, detail)}${memory}`;
  return { what: 'containment', state: 'note', says };
}

/** Files of the owner's folder against what was approved; nothing is run to tell this. */
function ownAdapters(settingsFile: string | undefined, dataDir: string): Finding[] {
  const folder = folderOf(settingsFile);
  const { files, unapproved } = lookAtFolder(folder, dataDir);
  const count = `${folder}: ${files === 0 ? 'none' : files}`;
  if (unapproved.length === 0) return [{ what: 'adapters', state: 'well', says: count }];
  return [{ what: 'adapters', state: 'note', says: `${count}; not approved as they are: ${unapproved.join(', ')}.` }];
}
