import { describe, expect, it } from 'vitest';
import type { RuntimeMemory } from '#energy/estimates/runtime/engine';
import type { Reading } from '#kit';
import type { StationFacts } from '../../agent/derive/facts.ts';
import { createOutlook } from '../../agent/derive/outlook.ts';
import { toldOf } from '../../agent/derive/told.ts';
import { shedFacts, shedPlace } from '../../simulators/honey-shed.ts';
import type { Load } from '../../simulators/plant/loads/load.ts';
import { createRouter } from '../../simulators/plant/loads/router.ts';
import { createPlant } from '../../simulators/plant/station.ts';
import { HOUR_MS, MIDNIGHT } from '../simulators/shed.ts';
import { reading } from './readings.ts';

const MINUTE = 60_000;
const DAY_MS = 24 * HOUR_MS;
const place = shedPlace('UTC', MIDNIGHT);
const plantFacts = {
  ...shedFacts(place),
  // No sun in this cellar; the AC outlets are off from noon to midnight, whatever is left.
  solarPort: { ...shedFacts(place).solarPort, maxW: 0 },
  nightSaving: { belowPct: 101, bedtimeMinute: 720, morningMinute: 0 },
};
/** On the AC side, 90 W and 20 W by turns; without its outlet nothing. */
const lamps: Load = {
  name: 'lamps',
  side: 'ac',
  draw: ({ minute, acOn }) => (acOn ? (minute % 180 < 90 ? 90 : 20) : 0),
};

const facts: StationFacts = {
  intervalMs: MINUTE,
  zone: 'UTC',
  ratedWh: plantFacts.pack.ratedWh,
  floorPct: 10,
  ceilingPct: 100,
  lowCutoffPct: plantFacts.lowCutoffPct,
  inputSource: 'unknown',
  panels: [],
  solarMaxW: null,
  place: null,
};

/** A discharge of some days lived through minute by minute; what was learned goes on into the next one. */
function discharge(n: number, memory: RuntimeMemory | null) {
  const startMs = MIDNIGHT + n * 10 * DAY_MS;
  const loads = (seed: number) => [lamps, createRouter(seed)];
  const plant = createPlant({ ...place, seed: 5 + n, zone: 'UTC', startMs, startPct: 97, facts: plantFacts, loads });
  const outlook = createOutlook(facts, memory);
  const learned: Record<'on' | 'off', ReturnType<typeof outlook.ahead>['learned']> = { on: null, off: null };
  for (let ms = startMs + MINUTE; plant.gauges().shownPct > 25; ms += MINUTE) {
    plant.step(ms, 10_000);
    const { quantities, states } = plant.sample();
    const kept: Reading = { ...reading({ at: ms }), quantities, states };
    outlook.add(toldOf(kept, 0, 'unknown'));
    if (ms % (6 * HOUR_MS) === 5 * HOUR_MS) learned[states.acOutletsOn ? 'on' : 'off'] = outlook.ahead(ms).learned;
  }
  return { learned, memory: outlook.memory() };
}

describe('a station whose AC outlets are off half of the time', () => {
  let memory: RuntimeMemory | null = null;
  let learned: ReturnType<typeof discharge>['learned'] = { on: null, off: null };
  for (let n = 0; n < 4; n++) ({ learned, memory } = discharge(n, memory));
  const own = plantFacts.housekeepingW;

  it('draws for itself what the converter idles at only while it runs: each is learned apart', () => {
    const { on, off } = learned;
    expect(on!.ticks).toBeGreaterThan(60);
    expect(off!.ticks).toBeGreaterThan(8);
    expect(on!.ticks).not.toBe(off!.ticks);
    expect(Math.abs(on!.ownW - (plantFacts.converter.idleW + own))).toBeLessThan(3);
    expect(Math.abs(off!.ownW - own)).toBeLessThan(2);
    expect(on!.ownW - off!.ownW).toBeGreaterThan(6);
  });

  it('is as sure of each as it came out', () => {
    const { on, off } = learned;
    expect(Math.abs(on!.ownW - (plantFacts.converter.idleW + own))).toBeLessThan(3 * on!.ownWSd + 0.5);
    expect(Math.abs(off!.ownW - own)).toBeLessThan(3 * off!.ownWSd + 0.5);
    expect(off!.ownWSd).toBeLessThan(2.4);
  });

  it('keeps both from one run of the agent to the next', () => {
    const woken = createOutlook(facts, memory);
    const ahead = (acOutletsOn: boolean, at: number) => {
      woken.add(toldOf(reading({ at, outputW: 20, pct: 60, states: { acOutletsOn } }), 0, 'unknown'));
      return woken.ahead(at).learned!;
    };
    expect(ahead(true, MIDNIGHT).ownW).toBeCloseTo(learned.on!.ownW, 0);
    expect(ahead(false, MIDNIGHT + MINUTE).ownW).toBeCloseTo(learned.off!.ownW, 0);
  });
});
