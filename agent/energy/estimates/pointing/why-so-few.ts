/**
 * Why so few watts: causes ranked by how well what the station tells fits them, each as likely as it is against all the
 * others together. Watts and volts are held against what each suspect would leave; what is not told decides nothing. One
 * is called likely only with odds of four to one and watts and volts that fit it: a wrong certainty costs more than a list.
 */
import type { ExpectedBand } from './asked.ts';
import type { Cause, CauseCode, Observed, Wired } from './few-asked.ts';
import { type Scene, type Suspect, sceneOf } from './suspect.ts';
import { limitSuspects } from './suspects-limits.ts';
import { comesToNothing, nothingSuspects } from './suspects-nothing.ts';
import { panelSuspects } from './suspects-panels.ts';

/** Told as likely from this share of all belief on. */
const LIKELY = 0.8;
/** Told at all. */
const TOLD = 0.03;
const MOST = 5;
/** Spread of volts: label, warmth of the cells, the tracker's hunting (own judgement). */
const VOLTS_OFF = 0.04;
/** Of watts, at the least. */
const WATTS_OFF = 0.05;
/** A suspect further off than so many spreads is not called likely. */
const FAR = 2.5;
/** Range of watts, as a logarithm, of a suspect that leaves any. */
const ANY_WATTS = 2.5;
/** Light that is too little to judge by: share of the panels' rating. */
const DIM_SHARE = 0.02;

/**
 * Causes, likeliest first, at most five; none where as much comes in as is expected and nothing limits it.
 *
 * @param expected null where place or planes are not known: only what the station says itself is then told
 */
export function whySoFew(observed: Observed, expected: ExpectedBand | null, wired: Wired): Cause[] {
  if (expected === null) return saidOnly(observed);
  if (expected.offeredW < Math.max(3, DIM_SHARE * wired.ratedW)) return saidOnly(observed);
  if (!isFew(observed, expected, wired)) return [];
  const scene = sceneOf(observed, expected, wired);
  const suspects = comesToNothing(scene) ? nothingSuspects(scene) : [...panelSuspects(scene), ...limitSuspects(scene)];
  return rank(
    suspects.map(suspect => weighed(suspect, scene)),
    scene,
  );
}

/** Below the band, or held back as the station says, or at the line of its port. */
function isFew({ gotW, limitedBy }: Observed, { lowW, offeredW }: ExpectedBand, { port }: Wired): boolean {
  if (gotW < lowW) return true;
  if (limitedBy !== null && limitedBy !== 'nothing') return true;
  return port.maxW !== null && offeredW > port.maxW * 1.05 && gotW > port.maxW * 0.97;
}

/** What the station says without anything to hold it against. */
function saidOnly({ limitedBy, stateOfChargePct }: Observed): Cause[] {
  if (limitedBy === null || limitedBy === 'nothing') return [];
  const tapers = limitedBy === 'full' && stateOfChargePct !== null && stateOfChargePct < 98.5;
  return [{ cause: tapers ? 'taper' : limitedBy, likely: true, explainsW: null }];
}

interface Believed {
  cause: CauseCode;
  belief: number;
  /** Watts it would leave; null: any. */
  leavesW: number | null;
  /** How far it is off, in spreads. */
  off: number;
}

/** How well a suspect fits: its weight times the density of what was seen, in logarithms of watts and volts. */
function weighed(suspect: Suspect, scene: Scene): Believed {
  const { observed } = scene;
  const watts = wattsFit(suspect, scene);
  const volts = voltsFit(suspect.volts, observed.solarVoltageV);
  return {
    cause: suspect.cause,
    belief: suspect.weight * watts.density * volts.density,
    leavesW: suspect.leavesW,
    off: Math.max(watts.off, volts.off),
  };
}

interface Fit {
  density: number;
  off: number;
}

const bell = (x: number, spread: number): Fit => ({
  density: Math.exp(-0.5 * (x / spread) ** 2) / (spread * Math.sqrt(2 * Math.PI)),
  off: Math.abs(x) / spread,
});

function wattsFit({ leavesW }: Suspect, { observed, expected }: Scene): Fit {
  if (leavesW === null) return { density: 1 / ANY_WATTS, off: 0 };
  return bell(Math.log(Math.max(1, observed.gotW) / Math.max(1, leavesW)), wattsSpread(observed, expected));
}

/** One spread of the expected watts, as a share; what a measurement of the light tells is taken out. */
function wattsSpread({ planeOfArrayWm2 }: Observed, { spreads }: ExpectedBand): number {
  const left = planeOfArrayWm2 === null ? spreads : spreads.filter(({ of }) => of !== 'air' && of !== 'plane');
  return Math.max(WATTS_OFF, Math.hypot(...left.map(({ pct }) => pct)) / 196);
}

function voltsFit(volts: Suspect['volts'], seenV: number | null): Fit {
  // What says nothing of volts is neither helped nor hurt by them: as if they lay anywhere within a factor of two.
  if (seenV === null) return { density: 1, off: 0 };
  if (volts === null) return { density: 1 / Math.LN2, off: 0 };
  if (typeof volts === 'number') return bell(Math.log(seenV / Math.max(1, volts)), VOLTS_OFF);
  const [low, high] = volts;
  const outside = Math.max(0, Math.log(low / seenV), Math.log(seenV / high));
  const { density, off } = bell(outside, VOLTS_OFF / 2);
  // Flat between its ends, with sloping shoulders.
  const width = Math.log(high / low) + (VOLTS_OFF / 2) * Math.sqrt(2 * Math.PI);
  return { density: (density * (VOLTS_OFF / 2) * Math.sqrt(2 * Math.PI)) / width, off };
}

/** Suspects of one cause are believed together; the best of them says how much it explains. */
function rank(believed: readonly Believed[], scene: Scene): Cause[] {
  const all = believed.reduce((sum, { belief }) => sum + belief, 0);
  if (!(all > 0)) return [];
  const byCause = new Map<CauseCode, { share: number; best: Believed }>();
  for (const one of believed) {
    const before = byCause.get(one.cause);
    byCause.set(one.cause, {
      share: (before?.share ?? 0) + one.belief / all,
      best: before === undefined || one.belief > before.best.belief ? one : before.best,
    });
  }
  return [...byCause]
    .filter(([, { share }]) => share >= TOLD)
    .sort(([, a], [, b]) => b.share - a.share)
    .slice(0, MOST)
    .map(([cause, { share, best }]) => ({
      cause,
      likely: share >= LIKELY && best.off <= FAR,
      explainsW: explainsW(best, scene),
    }));
}

/** Of what is missing from what a clear sky offers. */
function explainsW({ leavesW }: Believed, { observed, expected }: Scene): number {
  const missing = Math.max(0, expected.offeredW - observed.gotW);
  return leavesW === null ? missing : Math.min(missing, Math.max(0, expected.offeredW - leavesW));
}
