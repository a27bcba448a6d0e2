/**
 * Entry file of a short-lived process: prints this computer's zone and the rules of the zones named on its input, a line
 * each, as JSON; null for a zone that nobody knows. Intl is loaded here so that the agent, which stays, need not load it.
 */
import { readFileSync } from 'node:fs';
import { zoneOffsetMs } from '#energy/civil-day';
import { findZoneRules, type ZoneRules } from '#energy/zone-rules';

const DAY_MS = 86_400_000;
/** What the agent works out from its record lies no further back. */
const BACK_MS = 800 * DAY_MS;
/** An agent that runs for longer asks Intl itself. */
const AHEAD_MS = 800 * DAY_MS;

export interface PrintedZones {
  machine: string;
  zones: Record<string, ZoneRules | null>;
}

function rulesOf(zone: string, nowMs: number): ZoneRules | null {
  try {
    return findZoneRules(at => zoneOffsetMs(at, zone), nowMs - BACK_MS, nowMs + AHEAD_MS);
  } catch (cause) {
    // So Intl tells a zone that it does not know; anything else is a fault of ours.
    if (cause instanceof RangeError) return null;
    throw cause;
  }
}

const machine = Intl.DateTimeFormat().resolvedOptions().timeZone;
const nowMs = Date.now();
// Told while the agent still reads its settings; they may name no other.
const known = new Map([[machine, rulesOf(machine, nowMs)]]);
for (const zone of readFileSync(0, 'utf8').split('\n'))
  if (zone !== '' && !known.has(zone)) known.set(zone, rulesOf(zone, nowMs));
const printed: PrintedZones = { machine, zones: Object.fromEntries(known) };
process.stdout.write(JSON.stringify(printed));
