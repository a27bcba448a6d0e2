/** `wattkeep aim`: sun, clear sky, plane, watts and best planes of one instant at one place. Reads nothing but its options. */
import { aimAt } from '#energy/aiming';
import { civilDayOf, zoneOffsetMs } from '#energy/civil-day';
import { pointing } from '#energy/estimates/pointing/pointing';
import { panelsOf, UNKNOWN_AIR } from '#energy/panel-power';
import { DEFAULT_TURBIDITY } from '#energy/sky';
import { isZone } from '#messages';
import { parseInstant } from '../exchange/instants.ts';
import { parseArguments } from '../settings/index.ts';
import { morePointed, pointedLines } from './aim-pointed.ts';
import { AIM_HELP, aimLines } from './aim-words.ts';
import type { Invocation } from './invocation.ts';
import { localIso, writtenOffsetMs } from './local-iso.ts';
import { numberWithin, rounded, usage } from './numbers.ts';

const DAY_MS = 86_400_000;
/** Within these the sun's formulas hold. */
const [FIRST_MS, END_MS] = [Date.UTC(1900, 0, 1), Date.UTC(2200, 0, 1)];
/** July 1979: above it no date and no minute written as one number, 202606211000, is an instant from 1900 on. */
const LEAST_EPOCH_MS = 3e11;
const EXAMPLE = 'Example: --at 46.05,7.1 --time 2026-06-21T10:00:00+02:00.';

export async function aim({ argv }: Invocation): Promise<number> {
  const { values, switches, words } = parseArguments(argv, {
    values: ['at', 'time', 'zone', 'tilt', 'azimuth', 'peak-w', 'altitude-m', 'turbidity'],
    switches: ['json', 'help'],
  });
  if (switches.has('help')) {
    process.stdout.write(AIM_HELP);
    return 0;
  }
  if (words[0] !== undefined) throw usage(`${words[0].slice(0, 40)} is not understood here.`, EXAMPLE);
  const option = (name: string) => values.get(name)?.[0];
  const within = (name: string, least: number, most: number, otherwise: number) =>
    numberWithin(`--${name}`, option(name), least, most) ?? otherwise;

  const { latitudeDeg, longitudeDeg } = placeFrom(option('at'));
  const { atMs, day, offsetAt } = timeFrom(option('time'), option('zone'));
  const plane = {
    tiltDeg: within('tilt', 0, 90, 0),
    azimuthDeg: (within('azimuth', -360, 360, latitudeDeg < 0 ? 0 : 180) + 360) % 360,
  };
  const peakW = within('peak-w', 0, 1_000_000, 100);
  const place = {
    latitudeDeg,
    longitudeDeg,
    altitudeM: within('altitude-m', -500, 9000, 0),
    turbidity: within('turbidity', 1, 10, DEFAULT_TURBIDITY),
  };
  const panels = panelsOf(peakW);
  const found = aimAt(atMs, place, plane, panels, UNKNOWN_AIR, day);
  const pointed = pointing({
    atMs,
    place,
    turbidityTold: option('turbidity') !== undefined,
    panels: [{ ratedW: peakW, powerPerK: panels.powerPerK, plane }],
    air: UNKNOWN_AIR,
    airTold: false,
    day,
    portMaxW: null,
  });
  const iso = (at: number | null) => (at === null ? null : localIso(at, offsetAt(at)));
  const more = morePointed(pointed, at => localIso(at, offsetAt(at)));
  const [at, sunriseAt, sunsetAt] = [localIso(atMs, offsetAt(atMs)), iso(found.sunriseAt), iso(found.sunsetAt)];
  process.stdout.write(
    switches.has('json')
      ? `${JSON.stringify({ at, ...rounded({ ...found, sunriseAt, sunsetAt, ...more }) })}\n`
      : aimLines(at, found, sunriseAt, sunsetAt, peakW) + pointedLines(more, peakW),
  );
  return 0;
}

function placeFrom(text: string | undefined): { latitudeDeg: number; longitudeDeg: number } {
  if (text === undefined) throw usage('The place is missing.', `Add --at LAT,LON. ${EXAMPLE}`);
  const parts = text.split(',');
  if (parts.length !== 2) throw usage(`--at is ${text.slice(0, 40)}.`, `Give latitude and longitude. ${EXAMPLE}`);
  return {
    latitudeDeg: numberWithin('The latitude in --at', parts[0], -90, 90)!,
    longitudeDeg: numberWithin('The longitude in --at', parts[1], -180, 180)!,
  };
}

interface Time {
  atMs: number;
  day: { startMs: number; endMs: number };
  /** Local minus universal time, ms. */
  offsetAt(atMs: number): number;
}

/** Epoch ms; null for a number so small that it is more likely a year, a date, a minute or seconds. */
const epochFrom = (text: string): number | null => (Number(text) >= LEAST_EPOCH_MS ? Number(text) : null);

function timeFrom(text: string | undefined, zone: string | undefined): Time {
  if (text === undefined) throw usage('The time is missing.', `Add --time INSTANT. ${EXAMPLE}`);
  const atMs = /^-?\d+$/.test(text) ? epochFrom(text) : parseInstant(text);
  if (atMs === null) {
    throw usage(`--time is ${text.slice(0, 40)}.`, `Give a date, a time and its offset (Z or +02:00). ${EXAMPLE}`);
  }
  if (atMs < FIRST_MS || atMs >= END_MS) {
    throw usage(
      `--time is ${text.slice(0, 40)}.`,
      'Give an instant from 1900 to 2199: the sun is not known so well beyond.',
    );
  }
  if (zone === undefined) {
    const offsetMs = writtenOffsetMs(text);
    const startMs = Math.floor((atMs + offsetMs) / DAY_MS) * DAY_MS - offsetMs;
    return { atMs, day: { startMs, endMs: startMs + DAY_MS }, offsetAt: () => offsetMs };
  }
  if (!isZone(zone)) {
    throw usage(`--zone is ${zone.slice(0, 40)}, which is not known.`, 'Give an IANA time zone such as Europe/Lisbon.');
  }
  return { atMs, day: civilDayOf(atMs, zone), offsetAt: at => zoneOffsetMs(at, zone) };
}
