/** What `doctor` says of the service: whether there is one, whether it starts this very program, and when. */
import { existsSync, lstatSync, realpathSync } from 'node:fs';
import { homedir, userInfo } from 'node:os';
import { join } from 'node:path';
import { WattkeepError } from '#kit';
import { loadSettings } from '../settings/index.ts';
import { settingsPathOf } from './adapter-place.ts';
import { readsByBluetooth } from './service/bluetooth.ts';
import {
  type Installed,
  installedAt,
  NODE_ARGUMENTS,
  type ServicePlace,
  type Surroundings,
  servicePlace,
} from './service/place.ts';
import * as words from './service-words.ts';

interface Said {
  state: 'well' | 'note' | 'wrong';
  says: string;
}

/** Where systemd notes whose services run while nobody is logged in. */
const LINGER = '/var/lib/systemd/linger';

const surroundings = (): Surroundings => {
  const { platform, env } = process;
  return { platform, env, home: homedir(), uid: userInfo().uid };
};

/** Null where services of this system are not known. */
export function serviceFinding(dist: string, settingsFile: string | undefined): Said | null {
  const place = servicePlace(surroundings());
  if (place === null) return null;
  const found = installedAt(place);
  if (found === null) return { state: 'note', says: words.NOT_INSTALLED_FOUND };
  if (found.seal === 'foreign') return { state: 'note', says: `${place.file}: ${words.FOREIGN_FOUND}` };
  const wrong = misdirected(found, join(dist, 'program', 'main.js'));
  if (wrong !== null) return { state: 'wrong', says: wrong };
  const notes = notesOn(place, found, settingsFile);
  return notes.length === 0 ? { state: 'well', says: place.file } : { state: 'note', says: `${notes.join('; ')}.` };
}

/** What is wrong with what it starts; null where that is this program. */
function misdirected({ command }: Installed, own: string): string | null {
  const node = command[0] ?? 'nothing';
  const program = command.find(word => word.endsWith('.js')) ?? 'nothing';
  const missing = [node, program].find(path => !existsSync(path));
  if (missing !== undefined) return `${words.startsNothing(missing)}.`;
  return realpathSync(program) === realpathSync(own) ? null : `${words.startsOther(program)}.`;
}

/** The file as this version would write it, for the same program and the same folders. */
function textNow(place: ServicePlace, { command, bluetooth }: Installed): string {
  const program = command.findIndex(word => word.endsWith('.js'));
  return place.text({ command: [command[0]!, ...NODE_ARGUMENTS, ...command.slice(program)], bluetooth });
}

function notesOn(place: ServicePlace, found: Installed, settingsFile: string | undefined): string[] {
  const { startLink } = place;
  const notes = found.seal === 'changed' ? [words.CHANGED_FOUND] : [];
  if (found.seal === 'own' && textNow(place, found) !== found.text) notes.push(words.OTHER_VERSION);
  if (startLink === null) return notes;
  if (lstatSync(startLink, { throwIfNoEntry: false }) === undefined) notes.push(words.NOT_ENABLED);
  else if (!existsSync(join(LINGER, userInfo().username))) notes.push(words.NO_LINGER);
  if (!found.bluetooth && usesBluetooth(settingsFile)) notes.push(words.BLUETOOTH_SHUT);
  return notes;
}

/** Settings that cannot be read are told of by themselves. */
function usesBluetooth(settingsFile: string | undefined): boolean {
  try {
    return readsByBluetooth(loadSettings(settingsPathOf(settingsFile)).settings);
  } catch (error) {
    if (error instanceof WattkeepError) return false;
    throw error;
  }
}
