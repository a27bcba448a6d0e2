import { describe, expect, it } from 'vitest';
import { createSpotLearning } from '../../../agent/energy/estimates/skyline/learning.ts';
import type { PackedSpot, SpotFacts } from '../../../agent/energy/estimates/skyline/types.ts';
import { noise } from '../../../simulators/plant/chance.ts';
import { createSky, type SkyAt } from '../../../simulators/plant/light/sky.ts';
import { createSpotPlant, type PlantMinute, RATED_W, type SpotPlantOptions } from '../../support/spot-plant.ts';
import { CONDITIONS, SCENES, SEASONS } from '../../support/spot-scenes.ts';
import {
  byClock,
  byPatch,
  type Confusion,
  DAY_MS,
  edgeErrors,
  foretellings,
  liveAtSpot,
  noConfusion,
} from '../../support/spot-trial.ts';

const MINUTE_MS = 60_000;
/** Fixed before the first look at their outcome. */
const SEEDS = [701, 702] as const;

const scene = (name: string) => SCENES.find(of => of.name === name)!;
const season = (name: string) => SEASONS.find(of => of.name === name)!;
const condition = (name: string) => CONDITIONS.find(of => of.name === name)!;
const percent = (part: number, whole: number) => (whole === 0 ? '–' : ((100 * part) / whole).toFixed(1));

const said = (name: string, c: Confusion) =>
  `${name}: shade told ${percent(c.shadeTold, c.shadeTold + c.shadeAsSun)} %, false alarms ${percent(
    c.sunAsShade,
    c.sunTold + c.sunAsShade,
  )} %, told of shade ${percent(c.shadeTold + c.shadeAsSun, c.shadeTold + c.shadeAsSun + c.shadeUnknown)} %, of sun ${percent(
    c.sunTold + c.sunAsShade,
    c.sunTold + c.sunAsShade + c.sunUnknown,
  )} %`;

/** What is told is right: at least this share of shade, at most this share of sun told as shade. */
function expectRight(c: Confusion, least = 0.95, most = 0.01): void {
  expect(c.shadeTold / (c.shadeTold + c.shadeAsSun)).toBeGreaterThanOrEqual(least);
  expect(c.sunAsShade / (c.sunTold + c.sunAsShade)).toBeLessThanOrEqual(most);
}

describe('two weeks of mixed weather at a spot', () => {
  it.each([
    ['wall to the evening', '52° N, October'],
    ['house and pear tree', '48° N, March'],
    ['court', '34° S, January'],
    ['valley', '60° N, June'],
  ] as const)('tell sun and shade by patches of sky, and the edge: %s, %s', (where, when) => {
    const patches = noConfusion();
    const edges: number[] = [];
    for (const seed of SEEDS) {
      const lived = liveAtSpot({
        scene: scene(where),
        season: season(when),
        condition: condition('plain'),
        seed,
        days: 14,
        stepS: 60,
      });
      byPatch(lived, patches);
      edges.push(...edgeErrors(lived));
    }
    console.log(said(`${where}, ${when}`, patches));
    expectRight(patches);
    expect(patches.shadeTold).toBeGreaterThan(20);
    expect(edges.length).toBeGreaterThan(0);
    expect(edges.filter(deg => deg > 5)).toEqual([]);
  });

  it.each(['plane unknown', 'full about noon', 'port clips at 60 %', 'carried among spots', 'gaps'] as const)(
    'tell nothing wrong where it is harder: %s',
    name => {
      const patches = noConfusion();
      const clock = noConfusion();
      for (const seed of SEEDS) {
        const lived = liveAtSpot({
          scene: scene('court'),
          season: season('52° N, October'),
          condition: condition(name),
          seed,
          days: 14,
          stepS: 60,
        });
        byPatch(lived, patches);
        byClock(lived, clock);
      }
      console.log(said(name, patches));
      expectRight(patches);
      expectRight(clock, 0.9, 0.02);
      expect(patches.shadeTold).toBeGreaterThan(5);
    },
  );

  it('foretell when the shade comes', () => {
    const told = SEEDS.flatMap(seed =>
      foretellings(
        liveAtSpot({
          scene: scene('wall to the evening'),
          season: season('35° N, June'),
          condition: condition('plain'),
          seed,
          days: 14,
          stepS: 60,
        }),
      ),
    );
    expect(told.length).toBeGreaterThanOrEqual(2);
    for (const { errorMin, giveOrTakeMin } of told) expect(Math.abs(errorMin)).toBeLessThanOrEqual(giveOrTakeMin);
  });
});

const JUNE = season('35° N, June');
const PLACE = { latitudeDeg: 35, longitudeDeg: 15, altitudeM: 100, turbidity: 3 };
const PLANE = { tiltDeg: 28, azimuthDeg: 188 };
const FACTS: SpotFacts = { place: PLACE, plane: PLANE, ratedW: RATED_W };
const WALL = scene('wall to the evening').shadeAt(35);
const CLEAR_SEED = 11;

function minutesOf(over: Partial<SpotPlantOptions>, days: number, fromMs = JUNE.startMs): PlantMinute[] {
  const plant = createSpotPlant({ place: JUNE, plane: PLANE, shade: WALL, seed: CLEAR_SEED, stepS: 60, ...over });
  const minutes: PlantMinute[] = [];
  for (let atMs = fromMs; atMs < fromMs + days * DAY_MS; atMs += MINUTE_MS) {
    const minute = plant.minute(atMs);
    if (minute !== null) minutes.push(minute);
  }
  return minutes;
}

const dayFrom = (startMs: number) => ({ startMs, endMs: startMs + DAY_MS });

function learned(minutes: readonly PlantMinute[], facts = FACTS, packed?: PackedSpot) {
  const learning = createSpotLearning(facts, packed);
  for (const minute of minutes) learning.add(minute);
  return learning;
}

/** A sky of nothing but cloud: `even` without any flutter, else with a deck's. */
function overcast(even: boolean): SkyAt {
  const clear = createSky(CLEAR_SEED, JUNE);
  return ms => {
    const sky = clear(ms);
    const share = even ? 0.32 : 0.2 + 0.2 * noise(5, 1, ms / 2_700_000) + 0.06 * noise(5, 2, ms / 240_000);
    const globalWm2 = share * sky.clearGlobalWm2;
    return { ...sky, beamWm2: 0, diffuseWm2: globalWm2, globalWm2 };
  };
}

/** No cloud on any day. */
const cloudless: SkyAt = (() => {
  const drawn = createSky(CLEAR_SEED, JUNE);
  return ms => {
    const sky = drawn(ms);
    // Clear global light in the shares of an ordinary clear day.
    const diffuseWm2 = Math.min(sky.clearGlobalWm2, 20 + 0.09 * sky.clearGlobalWm2);
    const beamWm2 = sky.sun.up <= 0.02 ? 0 : (sky.clearGlobalWm2 - diffuseWm2) / sky.sun.up;
    return { ...sky, beamWm2, diffuseWm2, globalWm2: sky.clearGlobalWm2 };
  };
})();

describe('thin evidence', () => {
  it('draws nothing after a day, no shade after two', () => {
    const first = learned(minutesOf({ sky: cloudless }, 1)).sky(JUNE.startMs + DAY_MS, dayFrom(JUNE.startMs + DAY_MS));
    expect(first.strip).toBeNull();
    expect(first.skyline).toBeNull();
    const second = learned(minutesOf({ sky: cloudless }, 2)).sky(
      JUNE.startMs + 2 * DAY_MS,
      dayFrom(JUNE.startMs + 2 * DAY_MS),
    );
    expect(second.clearDays).toBe(2);
    expect(second.strip!.some(({ is }) => is === 'shade')).toBe(false);
    expect(second.next).toBeNull();
    const third = learned(minutesOf({ sky: cloudless }, 3)).sky(
      JUNE.startMs + 3 * DAY_MS,
      dayFrom(JUNE.startMs + 3 * DAY_MS),
    );
    expect(third.strip!.map(({ is }) => is)).toEqual(expect.arrayContaining(['sun', 'shade']));
    expect(third.next).toMatchObject({ is: 'shade' });
  });

  it.each([
    ['even', RATED_W],
    ['fluttering', RATED_W],
    ['fluttering', null],
  ] as const)('draws nothing from two weeks of %s cloud, label %s W', (kind, ratedW) => {
    const minutes = minutesOf({ sky: overcast(kind === 'even') }, 14);
    for (const plane of [PLANE, null]) {
      const sky = learned(minutes, { ...FACTS, plane, ratedW }).sky(minutes.at(-1)!.atMs, dayFrom(JUNE.startMs));
      expect([sky.strip, sky.skyline, sky.next, sky.clearDays]).toEqual([null, null, null, 0]);
    }
  });

  it('lets a limited minute speak for the sun, never for shade', () => {
    const shade = { skyline: [], near: [] };
    const minutes = minutesOf({ sky: cloudless, shade, fullAfterWh: 300, fullTakesW: 20 }, 6);
    const sky = learned(minutes).sky(minutes.at(-1)!.atMs, dayFrom(JUNE.startMs + 6 * DAY_MS));
    expect(sky.strip!.some(({ is }) => is === 'shade')).toBe(false);
    expect(sky.strip!.some(({ is }) => is === 'sun')).toBe(true);
  });
});

describe('what was learned', () => {
  const minutes = minutesOf({ sky: cloudless }, 6);
  const tomorrow = dayFrom(JUNE.startMs + 6 * DAY_MS);
  const whole = learned(minutes);

  it('goes on after JSON, in the middle of a day, as if nothing had been', () => {
    const cut = Math.floor(minutes.length * 0.61);
    const half = learned(minutes.slice(0, cut));
    half.sky(minutes[cut]!.atMs, tomorrow);
    const packed = JSON.parse(JSON.stringify(half.pack())) as PackedSpot;
    const resumed = learned(minutes.slice(cut), FACTS, packed);
    expect(resumed.sky(tomorrow.startMs, tomorrow)).toEqual(whole.sky(tomorrow.startMs, tomorrow));
    expect(JSON.parse(JSON.stringify(resumed.pack()))).toMatchObject({ version: 1 });
  });

  it('is the same however often it was asked for meanwhile, and takes no minute twice', () => {
    const asked = createSpotLearning(FACTS);
    for (const [i, minute] of minutes.entries()) {
      asked.add(minute);
      asked.add(minute);
      if (i % 200 === 0) asked.sky(minute.atMs, tomorrow);
    }
    expect(asked.sky(tomorrow.startMs, tomorrow)).toEqual(whole.sky(tomorrow.startMs, tomorrow));
  });

  it('stays where panels are turned; their scale is found anew', () => {
    const turned = createSpotLearning({ ...FACTS, plane: { tiltDeg: 10, azimuthDeg: 120 } }, whole.pack());
    const [before, after] = [whole, turned].map(of => of.sky(tomorrow.startMs, tomorrow));
    expect(after).toEqual(before);
    expect(turned.outlook(tomorrow.startMs, tomorrow.endMs, 300_000)).toBeNull();
    for (const minute of minutesOf(
      { sky: cloudless, plane: { tiltDeg: 10, azimuthDeg: 120 } },
      4,
      JUNE.startMs + 7 * DAY_MS,
    ))
      turned.add(minute);
    expect(turned.outlook(tomorrow.startMs, tomorrow.endMs, 300_000)).not.toBeNull();
  });

  it('begins anew for a place elsewhere and for another version', () => {
    const elsewhere = createSpotLearning({ ...FACTS, place: { ...PLACE, latitudeDeg: 47 } }, whole.pack());
    expect(elsewhere.sky(tomorrow.startMs, tomorrow).evidenceMin).toBe(0);
    const other = createSpotLearning(FACTS, { ...whole.pack(), version: 2 } as unknown as PackedSpot);
    expect(other.sky(tomorrow.startMs, tomorrow).evidenceMin).toBe(0);
  });

  it('is unlearned where what threw the shade is gone', () => {
    const felled = createSpotLearning(FACTS, whole.pack());
    const later = JUNE.startMs + 6 * DAY_MS;
    const open = minutesOf({ sky: cloudless, shade: { skyline: [], near: [] } }, 12, later);
    const shadeMs = (atMs: number) =>
      (felled.sky(atMs, dayFrom(later + 12 * DAY_MS)).strip ?? [])
        .filter(({ is }) => is === 'shade')
        .reduce((sum, { fromMs, toMs }) => sum + toMs - fromMs, 0);
    expect(shadeMs(later)).toBeGreaterThan(30 * MINUTE_MS);
    for (const minute of open) felled.add(minute);
    expect(shadeMs(later + 12 * DAY_MS)).toBe(0);
  });
});
