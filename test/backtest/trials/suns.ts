/**
 * Days and alternations under the plant's skies: folding panels with cells that warm and a tracker that hunts, a label
 * that is a little wrong, a plane told by hand and eye, a station that tells watts with a gain of its own. The sky and the
 * modules follow other laws than those the judge expects by.
 */
import { type Chance, createChance } from '#energy/estimates/chance';
import type { SolarOptions, TrialAsked, TrialSamples, TrialStep, TwoSetsOptions } from '#energy/estimates/trials/asked';
import { DEFAULT_TURBIDITY } from '#energy/sky';
import { createSun, type Place } from '../../../simulators/plant/sun.ts';
import { CARRIED_RATED_W, CELL_ROWS, createCarried, type Stand, settledW } from '../aiming/carried.ts';
import { drawSkies, SKY_KINDS, type SkyKind, type TwoSkies } from '../aiming/skies.ts';
import { TOLD } from './hidden.ts';

const MINUTE = 60_000;
const HOUR = 3_600_000;
const DAY = 86_400_000;
const STEP_MS = 20_000;
const TELLS_MS = 60_000;
const LABEL_OFF = 0.05;

export interface Yard {
  readonly kind: SkyKind;
  readonly place: Place;
  readonly skies: TwoSkies;
  readonly stand: Stand;
  readonly toldPlane: { readonly tiltDeg: number; readonly azimuthDeg: number };
  readonly toldRatedW: number;
  readonly noonAt: number;
  readonly gain: number;
  readonly gainB: number;
  readonly stepW: number;
  readonly rounding: 'floor' | 'round' | 'ceil';
  readonly chance: Chance;
}

/** A yard by its seed: somewhere, some day with a sun of 25° at least, panels towards noon. */
export function drawYard(seed: number): Yard {
  const chance = createChance(seed);
  const between = (min: number, max: number) => min + (max - min) * chance.uniform();
  const kind = SKY_KINDS[seed % SKY_KINDS.length]!;
  const place = { latitudeDeg: between(-45, 55), longitudeDeg: between(-180, 180) };
  const sunAt = createSun(place);
  let noonAt: number;
  do {
    const day = Math.floor(365 * chance.uniform());
    noonAt = Date.UTC(2026, 0, 1) + day * DAY + (12 - place.longitudeDeg / 15) * HOUR;
    noonAt = Math.round(noonAt / MINUTE) * MINUTE;
  } while (sunAt(noonAt).up < Math.sin((25 * Math.PI) / 180));
  const noon = sunAt(noonAt);
  const tiltDeg = between(10, 50);
  const azimuthDeg = ((Math.atan2(noon.east, noon.north) * 180) / Math.PI + 360 + 20 * chance.normal()) % 360;
  return {
    kind,
    place,
    skies: drawSkies(kind, place, chance),
    stand: { tiltDeg, azimuthDeg, open: new Array<number>(CELL_ROWS).fill(1), domeShare: 1 },
    toldPlane: {
      tiltDeg: Math.max(0, tiltDeg + 2 * chance.normal()),
      azimuthDeg: (azimuthDeg + 4 * chance.normal() + 360) % 360,
    },
    toldRatedW: CARRIED_RATED_W * (1 + between(-LABEL_OFF, LABEL_OFF)),
    noonAt,
    gain: 1 + between(-TOLD.ownWattsLimitPct, TOLD.ownWattsLimitPct) / 100,
    gainB: 1 + between(-TOLD.ownWattsLimitPct, TOLD.ownWattsLimitPct) / 100,
    stepW: chance.uniform() < 0.6 ? 1 : 0.1,
    rounding: (['floor', 'round', 'ceil'] as const)[Math.floor(3 * chance.uniform())]!,
    chance,
  };
}

function shown(yard: Yard, w: number, gain: number): number {
  const x = w * gain * (1 + 0.002 * yard.chance.normal()) + 0.1 * yard.chance.normal();
  return Math.max(0, Math.round(Math[yard.rounding](x / yard.stepW) * yard.stepW * 10) / 10);
}

const NONE = new Float64Array(0);

function samplesOf(
  at: readonly number[],
  solar: readonly number[],
  ports: readonly (readonly number[])[],
  pct = 50,
): TrialSamples {
  const watts = Float64Array.from(solar);
  const still = (x: number) => Float64Array.from(at, () => x);
  return {
    at: Float64Array.from(at),
    inputW: watts,
    outputW: still(0),
    acOutputW: NONE,
    dcOutputW: NONE,
    chargerW: still(0),
    solarW: watts,
    solarPortsW: ports.map(p => Float64Array.from(p)),
    pct: still(pct),
    batteryV: NONE,
    batteryA: NONE,
    batteryW: NONE,
    tempC: NONE,
    acOn: NONE,
    onMains: NONE,
  };
}

const common = () => ({
  ratedWh: 1640,
  tempMinC: 10,
  tempMaxC: 40,
  ownWattsLimitPct: TOLD.ownWattsLimitPct,
  batteryLimitPct: TOLD.batteryLimitPct,
  meter: null,
});

const placeOf = (yard: Yard) => ({ ...yard.place, altitudeM: 0, turbidity: DEFAULT_TURBIDITY });
const panelsOf = (yard: Yard) => [{ ratedW: yard.toldRatedW, powerPerK: -0.0036, plane: yard.toldPlane }];

export interface SunDay {
  readonly asked: TrialAsked<'solar'>;
  readonly harvestWh: number;
  readonly clearWh: number;
}

/** A day lived from before its first light to after its last. */
export function sunDay(yard: Yard, change: (samples: TrialSamples) => TrialSamples = s => s): SunDay {
  const panels = createCarried();
  const sunAt = createSun(yard.place);
  const [fromAt, toAt] = [yard.noonAt - 12 * HOUR, yard.noonAt + 12 * HOUR];
  const at: number[] = [];
  const solar: number[] = [];
  let [harvestWh, clearWh] = [0, 0];
  for (let ms = fromAt; ms < toAt; ms += STEP_MS) {
    const up = sunAt(ms).up > 0;
    const w = up ? panels.step(yard.skies.sky(ms), yard.stand, ms, STEP_MS / 1000) : 0;
    harvestWh += (w * STEP_MS) / HOUR;
    if ((ms + STEP_MS) % TELLS_MS !== 0) continue;
    if (up) clearWh += (settledW(yard.skies.clear(ms), yard.stand) * TELLS_MS) / HOUR;
    at.push(ms + STEP_MS);
    solar.push(shown(yard, w, yard.gain));
  }
  const samples = change(samplesOf(at, solar, []));
  const options: SolarOptions = {
    ...common(),
    place: placeOf(yard),
    turbidityTold: false,
    panels: panelsOf(yard),
    portMaxW: null,
    fullPct: 100,
  };
  return {
    asked: {
      kind: 'solar',
      options,
      station: 's',
      startedAt: fromAt,
      endedAt: null,
      nowAt: toAt,
      gapLimitMs: 2.5 * TELLS_MS,
      samples,
      meter: null,
      steps: [],
    },
    harvestWh,
    clearWh,
  };
}

const ALTERNATES_MS = 4 * MINUTE;
const AWAY_MS = 20_000;
const FINE_MS = 5_000;

/** Two sets in turn or at two ports; `share` is what B gives of A. */
export function twoSets(
  yard: Yard,
  how: 'alternated' | 'ports',
  share: number,
  change: (samples: TrialSamples) => TrialSamples = s => s,
): TrialAsked<'twoSets'> {
  const panels = createCarried();
  const startAt = yard.noonAt - HOUR + Math.floor(yard.chance.uniform() * HOUR);
  const lastsMs = how === 'ports' ? 100 * MINUTE : 9 * (ALTERNATES_MS + AWAY_MS);
  const at: number[] = [];
  const solar: number[] = [];
  const ports: number[][] = [[], []];
  const steps: TrialStep[] = [];
  panels.warmUp(yard.skies.sky(startAt), yard.stand);
  for (let ms = startAt; ms < startAt + lastsMs; ms += FINE_MS) {
    const round = Math.floor((ms - startAt) / (ALTERNATES_MS + AWAY_MS));
    const within = (ms - startAt) % (ALTERNATES_MS + AWAY_MS);
    const isA = round % 2 === 0;
    if (how === 'alternated' && within === 0) steps.push({ at: ms, step: isA ? 'a' : 'b' });
    if (how === 'alternated' && within === ALTERNATES_MS) steps.push({ at: ms, step: 'away' });
    const w = panels.step(yard.skies.sky(ms), yard.stand, ms, FINE_MS / 1000);
    at.push(ms + FINE_MS);
    if (how === 'ports') {
      ports[0]!.push(shown(yard, w, yard.gain));
      ports[1]!.push(shown(yard, w * share, yard.gainB));
      solar.push(ports[0]!.at(-1)! + ports[1]!.at(-1)!);
      continue;
    }
    // The tracker looks for its point for a while after each change.
    const finds = 1 - Math.exp(-(within + FINE_MS) / 15_000);
    solar.push(within >= ALTERNATES_MS ? 0 : shown(yard, w * (isA ? 1 : share) * finds, yard.gain));
  }
  const options: TwoSetsOptions = {
    ...common(),
    how,
    a: { name: 'A', ratedW: 270 },
    b: { name: 'B', ratedW: 270 },
    portA: 1,
    portB: 2,
    place: placeOf(yard),
    panels: panelsOf(yard),
    fullPct: 100,
  };
  return {
    kind: 'twoSets',
    options,
    station: 's',
    startedAt: startAt,
    endedAt: null,
    nowAt: at.at(-1)! + 1,
    gapLimitMs: 15_000,
    samples: change(samplesOf(at, solar, how === 'ports' ? ports : [])),
    meter: null,
    steps,
  };
}
