import { describe, expect, it } from 'vitest';
import type { Reading } from '#kit';
import type { StationFacts } from '../../agent/derive/facts.ts';
import { createFollower } from '../../agent/derive/follow.ts';
import { solarPowerW, sourceOf } from '../../agent/derive/input-source.ts';
import { createMinutes } from '../../agent/derive/minutes.ts';
import { followOutage, NO_OUTAGE, type OpenOutage, promised } from '../../agent/derive/outage.ts';
import { lookingFollower } from '../support/looking-follower.ts';
import { reading } from './readings.ts';

const NOON = Date.parse('2026-06-01T10:00:00Z');
const facts: StationFacts = {
  intervalMs: 1000,
  zone: 'Europe/Berlin',
  ratedWh: 1000,
  floorPct: 10,
  ceilingPct: 100,
  lowCutoffPct: 0,
  inputSource: 'unknown',
  panels: [{ ratedW: 400 }],
  solarMaxW: null,
  place: { latitudeDeg: 50, longitudeDeg: 10 },
};
const fresh = { at: null, latest: null, openOutage: null };

describe('the source of input', () => {
  const day = { owner: 'sun' as const, sunElevationDeg: 40, panelsRatedW: 400 };
  it('is what the adapter says, before what the owner says', () => {
    expect(sourceOf(reading({ inputW: 200, states: { inputSource: 'wall' } }), day)).toBe('wall');
    expect(sourceOf(reading({ inputW: 200 }), day)).toBe('sun');
  });
  it('is not the sun at night, nor above what the panels can give', () => {
    expect(solarPowerW(reading({ inputW: 200 }), { ...day, sunElevationDeg: -20 })).toBeNull();
    expect(solarPowerW(reading({ inputW: 900 }), day)).toBeNull();
  });
  it('is unknown where nobody said, and then no harvest', () => {
    expect(solarPowerW(reading({ inputW: 200 }), { ...day, owner: 'unknown' })).toBeNull();
  });
  it('does not matter where nothing comes in', () => {
    expect(solarPowerW(reading({ inputW: 0 }), { ...day, owner: 'unknown' })).toBe(0);
  });
});

describe('a night on the wall charger', () => {
  it('adds nothing to the harvest', () => {
    const follower = createFollower({ ...facts, inputSource: 'sun' }, fresh);
    const night = Date.parse('2026-06-01T23:00:00Z');
    let solar = 0;
    let input = 0;
    for (let s = 0; s < 600; s++)
      for (const day of follower.add(reading({ at: night + s * 1000, inputW: 300 })).days) {
        solar += day.solarMilliJ;
        input += day.inputMilliJ;
      }
    expect(solar).toBe(0);
    expect(input).toBe(300 * 599_000);
  });
});

describe('the source an owner names', () => {
  it('is kept with the reading, and its watts as watts from the sun', () => {
    const follower = createFollower({ ...facts, inputSource: 'sun' }, fresh);
    const { reading: kept } = follower.add(
      reading({ at: NOON, inputW: 120, reasons: { solarPowerW: 'notGiven' }, states: { inputSource: 'unknown' } }),
    );
    expect(kept.quantities.solarPowerW).toBe(120);
    expect(kept.states.inputSource).toBe('sun');
    expect(kept.reasons).toEqual({});
  });
});

describe('the source an adapter or a file names', () => {
  const kept = (over: Partial<Reading> & { inputW?: number }) =>
    createFollower(facts, fresh).add(reading({ at: NOON, ...over })).reading;

  it('is kept with its watts as watts from the sun where only the sum is told, so that what is counted is drawn', () => {
    const told = kept({ inputW: 120, states: { inputSource: 'sun' } });
    expect(told.quantities.solarPowerW).toBe(120);
    const missing = { inputPowerW: 120, outputPowerW: 0, stateOfChargePct: 50, solarPowerW: null };
    const unsaid = kept({ quantities: missing, states: { inputSource: 'sun' }, reasons: { solarPowerW: 'notGiven' } });
    expect(unsaid.quantities.solarPowerW).toBe(120);
    expect(unsaid.reasons).toEqual({});
  });

  it('adds nothing from the sun beside a charger that gives, where only the sum is told', () => {
    const quantities = { inputPowerW: 300, chargerPowerW: 200, outputPowerW: 0, stateOfChargePct: 50 };
    const beside = reading({ quantities, states: { inputSource: 'sun' } });
    expect(solarPowerW(beside, { owner: 'sun', sunElevationDeg: 40, panelsRatedW: 400 })).toBeNull();
    expect(kept({ quantities, states: { inputSource: 'sun' } }).quantities.solarPowerW).toBeUndefined();
  });
});

describe('an outage', () => {
  const flowed = { outputMilliJ: 1000, inputMilliJ: 10 };

  it('begins when the wall goes and ends when it is back, with what flowed meanwhile and how low it went', () => {
    let state = NO_OUTAGE;
    const records: OpenOutage[] = [];
    const feed = (at: number, onMains: boolean | 'unknown', pct: number) => {
      const step = followOutage(state, reading({ at, pct, states: { onMains } }), flowed, 98);
      state = step.state;
      if (step.record !== null) records.push(step.record);
    };
    feed(NOON, true, 100);
    feed(NOON + 1000, false, 100);
    feed(NOON + 2000, 'unknown', 97);
    feed(NOON + 3000, true, 98);
    expect(records.at(-1)).toEqual({
      station: 'shed',
      startedAt: NOON + 1000,
      endedAt: NOON + 3000,
      startPct: 100,
      endPct: 98,
      lowestPct: 97,
      outputMilliJ: 2000,
      inputMilliJ: 20,
      promisedAt: null,
      promisedP10At: null,
      promisedP50At: null,
      floorAt: NOON + 2000,
    });
    expect(state.open).toBeNull();
  });

  it('is not declared where the mains was never seen', () => {
    const step = followOutage(NO_OUTAGE, reading({ states: { onMains: false } }), flowed, 10);
    expect(step.record).toBeNull();
  });

  it('keeps the first end that is told of it, not one told on the mains nor one told later', () => {
    const mains = { madeAt: NOON, onMains: true, emptyAt: { p10: NOON + 1, p50: null } };
    const told = (minute: number) => ({
      madeAt: NOON + minute * 60_000,
      onMains: false,
      emptyAt: { p10: NOON + (100 + minute) * 60_000, p50: NOON + (200 + minute) * 60_000 },
    });
    expect(promised(NO_OUTAGE, told(1))).toBe(NO_OUTAGE);
    let { state } = followOutage(
      { ...NO_OUTAGE, onMains: true },
      reading({ at: NOON, pct: 90, states: { onMains: false } }),
      flowed,
      10,
    );
    for (const next of [mains, { ...told(1), emptyAt: null }, told(2), told(3)]) state = promised(state, next);
    expect(state.open).toMatchObject({
      promisedAt: NOON + 2 * 60_000,
      promisedP10At: NOON + 102 * 60_000,
      promisedP50At: NOON + 202 * 60_000,
    });
  });
});

describe('an outage as it is lived through', () => {
  it('is recorded with the first end that was told in it, also by the run that finds it open', () => {
    const MINUTE = 60_000;
    const place = { ...facts, panels: [], place: null, intervalMs: MINUTE };
    const at = (minute: number) => NOON + minute * MINUTE;
    const said = (minute: number, onMains: boolean, pct: number) =>
      reading({ at: at(minute), monoMs: minute * MINUTE, outputW: 60, pct, states: { onMains } });
    const before = lookingFollower(place, fresh);
    for (let m = -1440; m < 0; m++) before.recall(at(m), { inputW: 0, outputW: 60, solarW: 0, pct: 90 });
    before.add(said(0, true, 90));
    // On the mains an end is told for the case that it fails; that is no promise of an outage.
    expect(before.project(at(0)).emptyAt).not.toBeNull();
    before.add(said(1, false, 90));
    const first = before.project(at(1)).emptyAt!;
    const open = before.add(said(2, false, 89)).outage!;
    expect(open).toMatchObject({ startedAt: at(1), promisedAt: at(1), promisedP10At: first.p10, endedAt: null });
    expect(open.outputMilliJ).toBe(60 * MINUTE);

    const after = lookingFollower(place, { ...fresh, at: at(2), latest: said(2, false, 89), openOutage: open });
    after.add(said(40, false, 86));
    after.project(at(40));
    expect(after.add(said(41, true, 86)).outage).toMatchObject({
      startedAt: at(1),
      endedAt: at(41),
      promisedAt: at(1),
      promisedP10At: first.p10,
      lowestPct: 86,
      floorAt: null,
    });
  });
});

describe('rolling minutes', () => {
  it('hold means of recorded minutes only', () => {
    const minutes = createMinutes();
    for (let m = 0; m < 60; m++)
      if (m % 2 === 0) minutes.add(NOON + m * 60_000, { inputW: 0, outputW: 100, solarW: 0, pct: 50 });
    const at = NOON + 59 * 60_000;
    expect(minutes.means(at, 60)).toMatchObject({ outputW: 100, coverage: 0.5 });
    expect(minutes.recorded(at)).toBe(30);
  });
  it('forget what is older than a day', () => {
    const minutes = createMinutes();
    minutes.add(NOON, { inputW: 0, outputW: 100, solarW: 0, pct: 50 });
    expect(minutes.recorded(NOON + 25 * 3_600_000)).toBe(0);
  });
});

describe('the last hour', () => {
  it('counts no energy from typed numbers', () => {
    const follower = createFollower(facts, fresh);
    follower.add(reading({ at: NOON, outputW: 85, typed: true }));
    expect(follower.lastHour(NOON)).toEqual({ inputWh: 0, outputWh: 0, stateOfChargeChangePct: 0 });
  });
  it('counts what was read', () => {
    const follower = createFollower(facts, fresh);
    for (let m = 0; m < 60; m++) follower.add(reading({ at: NOON + m * 60_000, outputW: 60, pct: 60 - m / 10 }));
    const { outputWh, stateOfChargeChangePct } = follower.lastHour(NOON + 59 * 60_000);
    expect(outputWh).toBeCloseTo(60, 6);
    expect(stateOfChargeChangePct).toBeCloseTo(-5.9, 6);
  });
});

describe('the projection of the moment', () => {
  /** Two hours of readings, one a minute, while three percent an hour go. */
  const lived = (over: Partial<Reading> & { inputW?: number; outputW?: number; pctPerH?: number }) => {
    const { pctPerH = -12, ...rest } = over;
    const follower = lookingFollower(facts);
    for (let m = 0; m <= 120; m++)
      follower.add(reading({ outputW: 100, ...rest, at: NOON + m * 60_000, pct: Math.round(60 + (pctPerH * m) / 60) }));
    return follower.project(NOON + 120 * 60_000);
  };

  it('leaves the charger out on mains: it answers "if the power failed now"', () => {
    const p = lived({ inputW: 300, pctPerH: 16, states: { onMains: true, inputSource: 'wall' } });
    expect(p.onMains).toBe(true);
    expect(p.toward).toBe('full');
    expect(p.emptyAt?.p10).toBeGreaterThan(NOON);
  });
  it('counts the charger off mains', () => {
    expect(lived({ inputW: 500, pctPerH: 30, states: { inputSource: 'generator' } }).toward).toBe('full');
  });
  it('does not count on input of unknown source through the night', () => {
    expect(lived({ inputW: 20, outputW: 100, pctPerH: -10 }).emptyAt?.p10).toBeDefined();
  });
  it('says where the sun of today ends', () => {
    const p = lived({ inputW: 200, pctPerH: 6, states: { inputSource: 'sun' } });
    expect(new Date(p.sunUntilAt!).getUTCHours()).toBe(19);
  });
  it('promises nothing from a few minutes of readings, and tells what the label says as just that', () => {
    const follower = lookingFollower(facts);
    for (let m = 0; m <= 5; m++) follower.add(reading({ at: NOON + m * 60_000, outputW: 100, pct: 60 }));
    const p = follower.project(NOON + 5 * 60_000);
    expect(p).toMatchObject({ toward: 'none', why: 'noHistory', emptyAt: null });
    expect(p.byLabel!.p10).toBeLessThan(p.byLabel!.p90!);
  });
  it('takes numbers that are typed to go on, and calls what follows early', () => {
    const follower = lookingFollower(facts);
    follower.add(reading({ at: NOON, outputW: 85, typed: true }));
    expect(follower.project(NOON + 60_000)).toMatchObject({ toward: 'empty', early: true });
  });
  it('goes on from what an earlier run learned', () => {
    const first = lookingFollower(facts);
    for (let m = 0; m <= 300; m++)
      first.add(reading({ at: NOON + m * 60_000, outputW: 100, pct: Math.round(95 - (15 * m) / 60) }));
    const again = lookingFollower(facts, fresh, first.learned());
    // 15 % of 1000 Wh an hour under 100 W: 6.7 Wh reach the load for each percent.
    const { acWhPerPct, ownW } = again.project(NOON + 301 * 60_000).learned!;
    expect((1000 / acWhPerPct + ownW) / 10).toBeCloseTo(15, 0);
  });
});
