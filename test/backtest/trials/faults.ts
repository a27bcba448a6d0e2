/**
 * What spoils trials, each done to a run that would have been good: by the script where the station lives through it, else
 * to what was told. All of these must be found; none may be told as a good result.
 */
import type { TrialKind, TrialSamples } from '#energy/estimates/trials/asked';
import { HOUR, MINUTE } from './discharges.ts';
import type { Script } from './lived.ts';

export interface Fault {
  readonly name: string;
  readonly of: readonly TrialKind[];
  /** Changes the script of a run that takes about `lastsMs` from `fromMs` on. */
  script?(script: Script, fromMs: number, lastsMs: number, loadW: number): Script;
  told?(samples: TrialSamples, fromMs: number, lastsMs: number): TrialSamples;
}

const inside = (fromMs: number, lastsMs: number, at: number, forMs: number) => (ms: number) =>
  ms > fromMs + at * lastsMs && ms < fromMs + at * lastsMs + forMs;

/** Of what was told, all but a stretch. */
export function without(samples: TrialSamples, from: number, to: number): TrialSamples {
  const kept = Uint8Array.from(samples.at, (_, k) => (k >= from && k < to ? 0 : 1));
  const of = (column: Float64Array) => column.filter((_, k) => kept[k] === 1);
  return {
    ...samples,
    at: of(samples.at),
    inputW: of(samples.inputW),
    outputW: of(samples.outputW),
    acOutputW: of(samples.acOutputW),
    dcOutputW: of(samples.dcOutputW),
    chargerW: of(samples.chargerW),
    solarW: of(samples.solarW),
    solarPortsW: samples.solarPortsW.map(of),
    pct: of(samples.pct),
    batteryV: of(samples.batteryV),
    batteryA: of(samples.batteryA),
    batteryW: of(samples.batteryW),
    tempC: of(samples.tempC),
    acOn: of(samples.acOn),
    onMains: of(samples.onMains),
  };
}

const share = (samples: TrialSamples, at: number): number => Math.floor(samples.at.length * at);

export const FAULTS: readonly Fault[] = [
  {
    name: 'load unplugged for a quarter of an hour',
    of: ['usable'],
    script: (s, from, lasts) => {
      const off = inside(from, lasts, 0.4, 15 * MINUTE);
      return { ...s, loadW: ms => (off(ms) ? 0 : s.loadW(ms)) };
    },
  },
  {
    name: 'sun on the panels',
    of: ['usable', 'ownDraw', 'converter'],
    script: (s, from, lasts, loadW) => {
      const sun = inside(from, lasts, 0.3, Math.max(20 * MINUTE, lasts * 0.2));
      return { ...s, sunW: ms => (sun(ms) ? Math.max(40, 0.3 * loadW) : 0) };
    },
  },
  {
    name: 'another load',
    of: ['usable', 'ownDraw'],
    script: (s, from, lasts, loadW) => {
      const more = inside(from, lasts, 0.35, Math.max(12 * MINUTE, lasts * 0.15));
      return { ...s, loadW: ms => s.loadW(ms) + (more(ms) ? Math.max(30, 0.5 * loadW) : 0) };
    },
  },
  {
    name: 'another load, DC',
    of: ['usable', 'converter'],
    script: (s, from, lasts, loadW) => {
      const more = inside(from, lasts, 0.35, Math.max(12 * MINUTE, lasts * 0.3));
      return { ...s, dcW: ms => (more(ms) ? Math.max(15, 0.25 * loadW) : 0) };
    },
  },
  {
    name: 'mains come back',
    of: ['usable', 'ownDraw', 'converter'],
    script: (s, from, lasts) => {
      const wall = inside(from, lasts, 0.4, 6 * MINUTE);
      return { ...s, wall: ms => wall(ms) || (s.wall?.(ms) ?? false) };
    },
  },
  {
    name: 'outlets switched off early',
    of: ['usable', 'ownDraw', 'converter'],
    script: (s, from, lasts) => ({ ...s, acOn: ms => ms < from + 0.5 * lasts }),
  },
  {
    name: 'too cold',
    of: ['usable', 'ownDraw', 'converter', 'charge'],
    script: s => ({ ...s, roomC: () => 2 }),
  },
  {
    name: 'too warm',
    of: ['usable', 'ownDraw', 'converter'],
    script: s => ({ ...s, roomC: () => 48 }),
  },
  {
    name: 'readings missing for forty minutes',
    of: ['usable', 'ownDraw', 'charge'],
    told: (samples, from, lasts) => {
      const begin = samples.at[0]! + from + 0.4 * lasts;
      const a = samples.at.findIndex(at => at > begin);
      const b = samples.at.findIndex(at => at > begin + 40 * MINUTE);
      return without(samples, a, b < 0 ? samples.at.length : b);
    },
  },
  {
    name: 'readings end in the middle',
    of: ['usable', 'ownDraw', 'converter', 'charge', 'solar'],
    told: (samples, from, lasts) => {
      const end = samples.at[0]! + from + 0.4 * lasts;
      const k = lasts === 0 ? share(samples, 0.5) : samples.at.findIndex(at => at > end);
      return without(samples, k, samples.at.length);
    },
  },
  {
    name: 'a load that is never steady',
    of: ['usable'],
    script: (s, from) => ({
      ...s,
      loadW: ms => s.loadW(ms) * (ms < from ? 1 : 0.55 + 0.9 * Number(Math.floor(ms / (23 * MINUTE)) % 2)),
    }),
  },
  {
    name: 'gauge corrected by five percents',
    of: ['ownDraw'],
    told: samples => {
      const from = share(samples, 0.12);
      return { ...samples, pct: samples.pct.map((p, k) => (k >= from ? Math.max(4, p - 5) : p)) };
    },
  },
  {
    name: 'charger pulled for a quarter of an hour',
    of: ['charge'],
    script: (s, from, lasts) => {
      const off = inside(from, lasts, 0.4, 15 * MINUTE);
      return { ...s, wall: ms => !off(ms) && (s.wall?.(ms) ?? false) };
    },
  },
  {
    name: 'a load while it charges',
    of: ['charge'],
    script: (s, from, lasts) => {
      const more = inside(from, lasts, 0.3, Math.max(10 * MINUTE, 0.3 * lasts));
      return { ...s, acOn: ms => more(ms), loadW: ms => (more(ms) ? 120 : 0) };
    },
  },
  {
    name: 'sun beside the wall',
    of: ['charge'],
    script: (s, from, lasts) => {
      const sun = inside(from, lasts, 0.2, 0.4 * lasts);
      return { ...s, sunW: ms => (sun(ms) ? 80 : 0) };
    },
  },
  {
    name: 'battery full from noon on',
    of: ['solar'],
    told: samples => {
      const noon = share(samples, 0.47);
      const held = (column: Float64Array) => column.map((w, k) => (k > noon ? Math.min(w, 12) : w));
      return {
        ...samples,
        pct: samples.pct.map((_, k) => (k > noon ? 100 : 80)),
        solarW: held(samples.solarW),
        inputW: held(samples.inputW),
      };
    },
  },
  {
    name: 'readings missing over noon',
    of: ['solar'],
    told: samples => without(samples, share(samples, 0.42), share(samples, 0.58)),
  },
  {
    name: 'battery full all along',
    of: ['twoSets'],
    told: samples => ({ ...samples, pct: samples.pct.map(() => 100) }),
  },
  {
    name: 'readings end after the first round',
    of: ['twoSets'],
    told: samples => without(samples, share(samples, 0.15), samples.at.length),
  },
];

/** The owner comes back long after: by then what is missing is missing. */
export const LATER_MS = 3 * HOUR;
