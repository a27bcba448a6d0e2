/**
 * The rules of the time zones that the settings name, asked of a process that ends at once: Intl's tables would stay in
 * this one for as long as it runs. Where that process fails, Intl is asked here.
 */
import { execFile } from 'node:child_process';
import { promisify } from 'node:util';
import { learnZone } from '#energy/civil-day';
import type { Settings } from '#messages';
import { machineZone } from '../surroundings.ts';
import type { PrintedZones } from './zone-printer.ts';

const ALLOWED_MS = 10_000;

/**
 * @param entry the built zone-printer.js
 * @param recheck called where a zone of the settings is unknown or could not be asked; throws what is wrong with it
 * @returns IANA zone of this computer; the rules of all are learned by then
 */
export async function learnZones(entry: string, settings: Settings, recheck: () => void): Promise<string> {
  const named = settings.station.flatMap(({ zone }) => zone ?? []);
  const printed = await ask(entry, named);
  if (named.some(zone => !printed?.zones[zone])) recheck();
  for (const [zone, rules] of Object.entries(printed?.zones ?? {})) if (rules !== null) learnZone(zone, rules);
  return printed?.machine ?? machineZone();
}

async function ask(entry: string, zones: readonly string[]): Promise<PrintedZones | null> {
  try {
    const { stdout } = await promisify(execFile)(process.execPath, [entry, ...zones], { timeout: ALLOWED_MS });
    return JSON.parse(stdout) as PrintedZones;
  } catch {
    // Why does not matter: Intl of this process knows the same.
    return null;
  }
}
