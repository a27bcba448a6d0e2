/** `wattkeep service`: has the agent started with this computer, for this account. Writes one file, removes that one. */
import { spawnSync } from 'node:child_process';
import { existsSync, lstatSync, mkdirSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { homedir, userInfo } from 'node:os';
import { dirname, join, resolve } from 'node:path';
import { WattkeepError } from '#kit';
import { findProgram } from '../host/launch.ts';
import { loadSettings, parseArguments } from '../settings/index.ts';
import { settingsPathOf } from './adapter-place.ts';
import type { Invocation } from './invocation.ts';
import { usage } from './numbers.ts';
import { dataDirOf } from './open-past.ts';
import { needsBluetooth } from './service/bluetooth.ts';
import { installedAt, NODE_ARGUMENTS, type ServicePlace, type SystemCommand, servicePlace } from './service/place.ts';
import type { ServiceOrder } from './service/systemd.ts';
import * as words from './service-words.ts';

const SYSTEM_LIMIT_MS = 120_000;
/** systemd runs this computer: sd_booted(3), from memory. */
const SYSTEMD_RUNS = '/run/systemd/system';

const say = (text: string): void => void process.stdout.write(text);

export async function service({ argv, dist }: Invocation): Promise<number> {
  const {
    values,
    switches,
    words: said,
  } = parseArguments(argv, {
    values: ['data', 'settings'],
    switches: ['now', 'print', 'json', 'help'],
  });
  if (switches.has('help')) {
    say(words.SERVICE_HELP);
    return 0;
  }
  const [act, ...others] = said;
  if (others.length > 0 || !['install', 'remove', 'show'].includes(act ?? ''))
    throw usage('service takes install, remove or show.', 'wattkeep service --help shows how.');
  const place = placeHere();
  const now = switches.has('now');
  if (act === 'show') return show(place, switches.has('json'));
  if (act === 'remove') return remove(place, now);
  const order = orderOf(dist, values.get('data')?.[0], values.get('settings')?.[0]);
  if (switches.has('print')) say(place.text(order));
  else install(place, order, now);
  return 0;
}

/** @throws WattkeepError REQUEST_REFUSED where the system's services are not known */
function placeHere(): ServicePlace {
  const { platform, env } = process;
  const place = servicePlace({ platform, env, home: homedir(), uid: userInfo().uid });
  if (place === null) throw new WattkeepError('REQUEST_REFUSED', words.notHere(platform), words.NOT_HERE_FIX);
  return place;
}

/** What it starts: this Node, this program, and folders named in full, since a service has another environment. */
function orderOf(dist: string, data: string | undefined, settings: string | undefined): ServiceOrder {
  const settingsFile = resolve(settingsPathOf(settings));
  const read = loadSettings(settingsFile).settings;
  const program = join(dist, 'program', 'main.js');
  const folders = ['--data', resolve(dataDirOf(data)), '--settings', settingsFile];
  return {
    command: [process.execPath, ...NODE_ARGUMENTS, program, ...folders],
    bluetooth: needsBluetooth(read, process.execPath),
  };
}

function install(place: ServicePlace, order: ServiceOrder, now: boolean): void {
  const text = place.text(order);
  const before = installedAt(place);
  refuseNotOurs(place);
  if (before?.text === text) say(words.writtenAlready(place.file));
  else {
    mkdirSync(dirname(place.file), { recursive: true });
    const fresh = `${place.file}.${process.pid}`;
    writeFileSync(fresh, text, { mode: 0o644 });
    renameSync(fresh, place.file);
    say(words.written(place.file));
  }
  if (process.platform === 'darwin') say(words.NOT_TRIED);
  else {
    if (!existsSync(SYSTEMD_RUNS)) say(words.NO_SYSTEMD);
    say(order.bluetooth ? words.OPEN_BLUETOOTH : words.NO_BLUETOOTH);
  }
  if (!now) say(words.toRun(before === null ? place.begin : [...place.before, ...place.begin]));
  else {
    if (before !== null) for (const command of place.before) trySystem(command);
    for (const command of place.begin) runSystem(command);
    say(words.TAKEN_UP);
  }
  say(words.LOOK_HERE);
}

function remove(place: ServicePlace, now: boolean): number {
  if (installedAt(place) === null) {
    say(words.NOT_INSTALLED);
    return 0;
  }
  refuseNotOurs(place);
  if (now) for (const command of place.end) runSystem(command);
  // A link whose file is gone is no longer there for existsSync.
  else if (place.startLink !== null && lstatSync(place.startLink, { throwIfNoEntry: false }) !== undefined)
    throw new WattkeepError('REQUEST_REFUSED', words.STILL_ENABLED, words.stillEnabledFix(place.end));
  rmSync(place.file);
  say(words.removed(place.file));
  if (now) for (const command of place.forget) runSystem(command);
  else say(words.toRun(place.forget));
  if (process.platform === 'linux') say(words.lingers(userInfo().username));
  return 0;
}

function show(place: ServicePlace, json: boolean): number {
  const found = installedAt(place);
  if (json) {
    const { file, startLink } = place;
    const enabled = startLink === null ? null : lstatSync(startLink, { throwIfNoEntry: false }) !== undefined;
    const { seal = null, command = [], bluetooth = null } = found ?? {};
    say(`${JSON.stringify({ installed: found !== null, file, seal, enabled, command, bluetooth })}\n`);
  } else say(found === null ? words.NOT_INSTALLED : `# ${place.file}\n${found.text}`);
  return 0;
}

/** @throws WattkeepError REQUEST_REFUSED where the file there is not as `install` wrote it */
function refuseNotOurs(place: ServicePlace): void {
  const seal = installedAt(place)?.seal;
  if (seal === 'foreign') throw new WattkeepError('REQUEST_REFUSED', words.foreign(place.file), words.FOREIGN_FIX);
  if (seal === 'changed') throw new WattkeepError('REQUEST_REFUSED', words.changed(place.file), words.CHANGED_FIX);
}

/** @throws WattkeepError REQUEST_REFUSED where it is missing or fails */
function runSystem(command: SystemCommand): void {
  const trouble = trySystem(command);
  if (trouble !== null) throw new WattkeepError('REQUEST_REFUSED', words.failed(command, trouble), words.FAILED_FIX);
}

/** The answer is what went wrong; null where nothing did. */
function trySystem([name, ...args]: SystemCommand): string | null {
  const program = findProgram(name);
  if (program === null) return 'there is no such program';
  const { status, stderr, error } = spawnSync(program, args, {
    stdio: ['ignore', 'inherit', 'pipe'],
    encoding: 'utf8',
    timeout: SYSTEM_LIMIT_MS,
  });
  return status === 0 ? null : stderr?.trim() || error?.message || `it ended with ${status}`;
}
