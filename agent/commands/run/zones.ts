/**
 * The rules of the time zones that the settings name, asked of a process that ends at once: Intl's tables would stay in
 * this one for as long as it runs. Where that process fails, Intl is asked here.
 */
import { learnZone } from '#energy/civil-day';
import type { Settings } from '#messages';
import { machineZone } from '../surroundings.ts';
import type { ZoneChild } from './zone-child.ts';

/**
 * @param child asked, and over then
 * @param recheck called where a zone of the settings is unknown or could not be asked; throws what is wrong with it
 * @returns IANA zone of this computer; the rules of all are learned by then
 */
export async function learnZones(child: ZoneChild, settings: Settings, recheck: () => void): Promise<string> {
  const named = settings.station.flatMap(({ zone }) => zone ?? []);
  const printed = await child.ask(named);
  if (named.some(zone => !printed?.zones[zone])) recheck();
  for (const [zone, rules] of Object.entries(printed?.zones ?? {})) if (rules !== null) learnZone(zone, rules);
  return printed?.machine ?? machineZone();
}
