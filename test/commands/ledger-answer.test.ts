/** The Ledger's answer over days on record: a real record, readings that follow the clear sky. */
import * as v from 'valibot';
import { describe, expect, it } from 'vitest';
import { LedgerAnswer, type Span } from '#messages';
import { factsAt, factsOfSettings } from '../../agent/commands/ledger-facts.ts';
import type { OpenedRecord } from '../../agent/store/open.ts';
import {
  answerOf,
  clearW,
  dayAt,
  factOf,
  firstDayOf,
  goOn,
  offBy,
  PLANE,
  recordedDays,
  shedSettings,
  workedOf,
  ZONE,
} from '../support/ledger-record.ts';
import { batch, freshFolder, openTestRecord } from '../support/record.ts';

const DAY = '2026-06-21';
const { startMs, endMs } = dayAt(DAY);
const HOUR_MS = 3_600_000;
const hourAt = (hour: number) => startMs + hour * HOUR_MS;

const withSpans = (record: OpenedRecord, ...spans: Omit<Span, 'station' | 'note'>[]) => {
  record.commit(batch([], { spans: spans.map(span => ({ station: 'shed', note: '', ...span })) }));
  return record;
};

describe('a station that tells all its input and not what of it is the sun’s', () => {
  const course = { from: DAY, stateOfChargePct: (hour: number) => (hour > 15 ? 100 : 60) };

  it('has the sun’s watts on record, drawn and spread as they are counted', () => {
    const record = recordedDays(course);
    expect(record.latest('shed')!.quantities.solarPowerW).toBe(record.latest('shed')!.quantities.inputPowerW);
    const { days, carpet } = answerOf(record);
    const drawnWh = carpet.rows[0]!.reduce((sum: number, watts) => sum + (watts ?? 0) / 2, 0);
    expect(drawnWh).toBeCloseTo(days[0]!.solarWh, 0);
    expect(days[0]!.fullMin).toBeGreaterThan(60);
  });

  it('has the same Ledger where an older record holds its input alone', () => {
    const record = recordedDays(course);
    const older = openTestRecord(freshFolder());
    const readings = [...record.readings('shed', 0, Number.MAX_SAFE_INTEGER)].map(one => {
      const { solarPowerW: _, ...quantities } = one.quantities;
      return { ...one, quantities };
    });
    const days = record.days('shed', DAY, DAY).map(day => ({ station: 'shed', ...day }));
    older.commit(batch(readings, { days }));
    expect(answerOf(older)).toEqual(answerOf(record));
  });
});

describe('the yields of a day', () => {
  it('are energy over rating, irradiation over full sun, and their ratio', () => {
    const day = firstDayOf(recordedDays({ from: DAY }));
    expect(day.referenceYieldH).toBeGreaterThan(7.5);
    expect(day.referenceYieldH).toBeLessThan(9.5);
    expect(day.performanceRatio).toBeCloseTo(0.8, 2);
    expect(day.finalYieldH! / day.referenceYieldH!).toBeCloseTo(day.performanceRatio!, 9);
    expect([day.ratedW, day.referenceFrom, day.fullMin, day.portLimitMin]).toEqual([270, 'clear sky', 0, 0]);
    // The clear sky's watts, warmth and losses taken off, lie below the rating's.
    expect(day.clearSkyWh!).toBeLessThan(270 * day.referenceYieldH!);
    expect(day.clearSkyWh!).toBeGreaterThan(0.75 * 270 * day.referenceYieldH!);
  });

  it('leave a gap out of energy and light alike', () => {
    const whole = firstDayOf(recordedDays({ from: DAY }));
    const half = firstDayOf(recordedDays({ from: DAY, missing: hour => hour >= 10 && hour < 14 }));
    expect(half.finalYieldH).toBeLessThan(0.7 * whole.finalYieldH!);
    expect(half.performanceRatio).toBeCloseTo(0.8, 2);
    expect(half.clearSkyWh).toBe(whole.clearSkyWh);
  });

  it('hold for a source that speaks every five minutes', () => {
    expect(firstDayOf(recordedDays({ from: DAY, stepMs: 300_000 })).performanceRatio).toBeCloseTo(0.8, 2);
  });

  it('are held against measured light where there is some', () => {
    const day = firstDayOf(recordedDays({ from: DAY, measured: 0.9 }));
    expect(day.referenceFrom).toBe('measured');
    expect(day.performanceRatio).toBeCloseTo(0.8 / 0.9, 2);
    expect(day.whereItWent!.cloudWh / day.clearSkyWh!).toBeCloseTo(0.1, 2);
  });

  it('leave full and clipped minutes out of energy and light of the ratio, and count them', () => {
    const full = firstDayOf(
      recordedDays({
        from: DAY,
        stateOfChargePct: hour => (hour >= 13 ? 100 : 60),
        powerW: (at, hour) => clearW(at) * (hour >= 13 ? 0.1 : 1),
      }),
    );
    expect(full.finalYieldH! / full.referenceYieldH!).toBeLessThan(0.55);
    expect(full.performanceRatio).toBeCloseTo(0.8, 2);
    expect(full.fullMin).toBeGreaterThan(8 * 60 - 20);
    expect(full.fullMin).toBeLessThan(9 * 60);
    const limited = shedSettings({ solarPort: [{ maxW: 120 }] });
    const clipped = firstDayOf(
      recordedDays({ from: DAY, powerW: at => Math.min(120, clearW(at)), settings: limited }),
      { facts: factsOfSettings(limited) },
    );
    expect(clipped.portLimitMin).toBeGreaterThan(3 * 60);
    expect(clipped.performanceRatio).toBeCloseTo(0.8, 2);
    expect(clipped.whereItWent!.portLimitWh).toBeGreaterThan(150);
  });

  it('tell how much of the light fell while something held the panels back', () => {
    const { days } = workedOf(recordedDays({ from: DAY, stateOfChargePct: hour => (hour >= 13 ? 100 : 60) }));
    expect(days[0]!.heldBackPct).toBeGreaterThan(45);
    expect(days[0]!.heldBackPct).toBeLessThan(65);
  });

  it('are unknown, never guessed, where panels, their stand or the place are', () => {
    const record = recordedDays({ from: DAY });
    const on = (more: object) => firstDayOf(record, { facts: factsOfSettings(shedSettings(more)) });
    const unknown = { clearSkyWh: null, referenceYieldH: null, performanceRatio: null, whereItWent: null };
    expect(on({ place: undefined })).toMatchObject({ ...unknown, referenceFrom: null });
    expect(on({ panel: [] })).toMatchObject({ ...unknown, finalYieldH: null, ratedW: null });
    const carried = on({ panel: [{ name: 'Carried', ratedW: 270 }] });
    expect(carried).toMatchObject(unknown);
    expect(carried.finalYieldH).toBeGreaterThan(0);
    expect(firstDayOf(record, { facts: [] })).toMatchObject({ ...unknown, finalYieldH: null });
  });

  it('give no ratio for a night', () => {
    expect(firstDayOf(recordedDays({ from: DAY, missing: hour => hour >= 3 })).performanceRatio).toBeNull();
  });
});

describe('where the rest of a clear sky went', () => {
  it('adds up with the harvest on each day, whatever it was', () => {
    const record = recordedDays({
      from: DAY,
      days: 5,
      missing: hour => hour % 24 > 15 && hour > 72,
      stateOfChargePct: hour => (hour % 24 > 14 ? 100 : 70),
      powerW: (at, hour) => clearW(at) * (0.5 + 0.5 * Math.sin(hour * hour)),
    });
    const { days } = answerOf(record);
    expect(days.map(offBy)).toEqual([0, 0, 0, 0, 0]);
    expect(days.every(({ whereItWent }) => whereItWent!.fullWh > 0)).toBe(true);
  });

  it('is not recorded in a gap, and not out where the owner says why', () => {
    const course = { from: DAY, missing: (hour: number) => hour >= 10 && hour < 14 };
    const gap = firstDayOf(recordedDays(course)).whereItWent!;
    expect(gap.notRecordedWh).toBeGreaterThan(700);
    const lent = firstDayOf(
      withSpans(recordedDays(course), { reason: 'lent', fromMs: hourAt(9.9), toMs: hourAt(14.1) }),
    ).whereItWent!;
    expect(lent.notRecordedWh).toBeLessThan(5);
    expect(lent.notOutWh / gap.notRecordedWh).toBeGreaterThan(0.99);
  });

  it('is not out while the panels are in, though the station told its watts', () => {
    const record = recordedDays({ from: DAY, powerW: (at, hour) => (hour >= 12 ? 0 : clearW(at)) });
    const where = firstDayOf(withSpans(record, { reason: 'panelsIn', fromMs: hourAt(12), toMs: null })).whereItWent!;
    expect(where.notOutWh).toBeGreaterThan(900);
    expect(where.cloudWh).toBeLessThan(20);
    expect(firstDayOf(record).performanceRatio).toBeCloseTo(0.8, 2);
  });

  it('is ahead for the rest of a day that still runs', () => {
    const record = recordedDays({ from: DAY, missing: hour => hour > 12 });
    const day = firstDayOf(record, { nowMs: hourAt(12) });
    expect(day.whereItWent!.aheadWh).toBeGreaterThan(900);
    expect(day.whereItWent!.notRecordedWh).toBeLessThan(5);
    expect(offBy(day)).toBe(0);
  });

  it('is not told of a day whose minutes do not show its harvest', () => {
    const record = recordedDays({ from: DAY });
    const bare = { ...record, means: () => ({}), days: record.days, extent: record.extent } as OpenedRecord;
    const day = firstDayOf(bare);
    expect([day.whereItWent, day.performanceRatio]).toEqual([null, null]);
    expect(day.clearSkyWh).toBeGreaterThan(1000);
  });

  it('takes a station that tells only its input, which is all the sun’s, at its word', () => {
    const where = firstDayOf(recordedDays({ from: DAY })).whereItWent!;
    expect(Math.abs(where.notRecordedWh)).toBeLessThan(5);
    expect(Math.abs(where.cloudWh)).toBeLessThan(30);
  });
});

describe('what was true on a day', () => {
  const panels = (validFromMs: number, ratedW: number) => factOf('panel', [{ name: 'Folding', ratedW }], validFromMs);

  it('is the newest word before it, and the first word for the time before any', () => {
    const facts = [panels(2_000, 200), panels(1_000, 100)];
    expect([500, 1_500, 2_500].map(at => factsAt(facts, at).ratedW)).toEqual([100, 100, 200]);
  });

  it('is nothing where the owner took it away or the record’s shape is another', () => {
    expect(factsAt([panels(1, 100), factOf('panel', null, 2)], 3).ratedW).toBeNull();
    expect(factsAt([{ ...panels(1, 0), valueJson: '{"watts":100}' }], 3).ratedW).toBeNull();
  });

  it('is another rating, clear sky and yield from the day the panels changed', () => {
    const record = recordedDays({ from: DAY, days: 3 });
    const more = factOf('panel', [{ name: 'Folding', ratedW: 90, count: 6, ...PLANE }], dayAt('2026-06-22').startMs);
    const { days } = answerOf(record, { facts: [...factsOfSettings(shedSettings()), more] });
    expect(days.map(({ ratedW }) => ratedW)).toEqual([270, 540, 540]);
    expect(days[1]!.clearSkyWh! / days[0]!.clearSkyWh!).toBeCloseTo(2, 2);
    expect(days[1]!.performanceRatio).toBeCloseTo(0.4, 2);
    expect(days.map(offBy)).toEqual([0, 0, 0]);
  });

  it('is the plane of the spot they stood at, each for its own hours', () => {
    const without = factsOfSettings(shedSettings({ panel: [{ name: 'Folding', ratedW: 90, count: 3 }] }));
    const record = recordedDays({ from: DAY });
    const spot = factOf('spot.step', PLANE, 0);
    const at = (fromMs: number) =>
      firstDayOf(record, { facts: [...without, spot, factOf('standing', { spot: 'step' }, fromMs)] });
    expect(firstDayOf(record, { facts: without }).performanceRatio).toBeNull();
    expect(at(startMs).performanceRatio).toBeCloseTo(0.8, 2);
    // For half a day nobody knows how they stood.
    expect(at(hourAt(12)).performanceRatio).toBeNull();
    const steep = factOf('spot.wall', { tiltDeg: 90, azimuthDeg: 180 }, 0);
    const own = factsOfSettings(shedSettings());
    const [all, half, wall] = [
      own,
      [...own, steep, factOf('standing', { spot: 'wall' }, hourAt(12))],
      [...own, steep, factOf('standing', { spot: 'wall' }, 0)],
    ].map(facts => firstDayOf(record, { facts }).referenceYieldH!);
    expect(half!).toBeLessThan(all!);
    expect(half!).toBeGreaterThan(wall!);
  });
});

describe('what the harvest is worth', () => {
  const priced = (tariff: object) => ({ facts: factsOfSettings(shedSettings(), tariff as never) });

  it('is the price of each hour for what came in it', () => {
    const record = recordedDays({ from: DAY });
    const flat = firstDayOf(record, priced({ perKWh: 0.3, currency: 'EUR' }));
    expect(flat.worth).toBeCloseTo((0.3 * flat.solarWh) / 1000, 9);
    // A Sunday: the sun stands highest at half past one.
    const byHour = firstDayOf(
      record,
      priced({ perKWh: 0, currency: 'EUR', hours: [{ days: ['sun'], fromHour: 0, toHour: 13, perKWh: 1 }] }),
    );
    const morning = byHour.worth! / (byHour.solarWh / 1000);
    expect(morning).toBeGreaterThan(0.4);
    expect(morning).toBeLessThan(0.5);
  });

  it('is reckoned at the price of that day, and goes on from what the days before were worth', () => {
    const record = recordedDays({ from: DAY, days: 4 });
    const from = (perKWh: number, date: string) => factOf('tariff', { perKWh, currency: 'EUR' }, dayAt(date).startMs);
    const own = factsOfSettings(shedSettings()).filter(({ key }) => key !== 'tariff');
    const facts = [...own, from(0.2, DAY), from(0.4, '2026-06-23')];
    const all = answerOf(record, { facts });
    expect(all.days.map(({ worth, solarWh }) => (1000 * worth!) / solarWh)).toEqual(
      [0.2, 0.2, 0.4, 0.4].map(price => expect.closeTo(price, 9)),
    );
    expect(all.money!.before).toBeNull();
    const later = answerOf(record, { facts, from: '2026-06-23' });
    expect(later.money!.before).toEqual({
      sinceDate: DAY,
      worth: expect.closeTo(all.days[0]!.worth! + all.days[1]!.worth!, 9),
    });
  });

  it('is told in one currency; days priced in another have none', () => {
    const record = recordedDays({ from: DAY, days: 2 });
    const in_ = (currency: string, date: string) => factOf('tariff', { perKWh: 1, currency }, dayAt(date).startMs);
    const own = factsOfSettings(shedSettings()).filter(({ key }) => key !== 'tariff');
    const answer = answerOf(record, { facts: [...own, in_('CHF', DAY), in_('EUR', '2026-06-22')] });
    expect(answer.money!.currency).toBe('EUR');
    expect(answer.days.map(({ worth }) => worth === null)).toEqual([true, false]);
  });

  it('is not told without a price; what was paid is the station’s and its panels’', () => {
    const record = recordedDays({ from: DAY });
    const without = answerOf(record);
    expect([without.money, without.days[0]!.worth]).toEqual([null, null]);
    const paidFor = (paid: number | undefined, panelPaid: number | undefined) =>
      answerOf(record, {
        facts: factsOfSettings(
          shedSettings({ paid, panel: [{ name: 'Folding', ratedW: 90, count: 3, ...PLANE, paid: panelPaid }] }),
          { perKWh: 0.3, currency: 'EUR' },
        ),
      }).money!.paid;
    expect([paidFor(600, 250), paidFor(600, undefined), paidFor(undefined, 250)]).toEqual([850, null, null]);
  });
});

describe('the days of the answer', () => {
  it('are what its schema says, with the clear sky of dates that hold nothing', () => {
    const record = recordedDays({ from: DAY, days: 6, missing: hour => hour >= 48 && hour < 96 });
    const answer = answerOf(record);
    v.parse(LedgerAnswer, answer);
    expect(answer.days.map(({ date }) => date)).toEqual([DAY, '2026-06-22', '2026-06-25', '2026-06-26']);
    expect(answer.missing.map(({ date }) => date)).toEqual(['2026-06-23', '2026-06-24']);
    expect(answer.missing[0]!.clearSkyWh! / answer.days[0]!.clearSkyWh!).toBeCloseTo(1, 2);
    expect(answer.missing[0]!.notOutWh).toBe(0);
    const lent = withSpans(record, { reason: 'lent', fromMs: hourAt(47), toMs: hourAt(98) });
    const [first] = answerOf(lent).missing;
    expect(first!.notOutWh).toBe(first!.clearSkyWh);
    expect(answer.carpet.rows).toHaveLength(4);
    expect(answer.carpet.rows[0]![0]).toBe(0);
    expect(answer.carpet.rows[0]![27]!).toBeGreaterThan(150);
    expect(answer.spans).toMatchObject([{ reason: 'noReading' }]);
  });

  it('are the same asked for one by one as in a stretch', () => {
    const record = recordedDays({
      from: DAY,
      days: 8,
      powerW: (at, hour) => clearW(at) * (Math.floor(hour / 24) % 3 === 1 ? 0.4 : 1),
      stateOfChargePct: hour => (hour % 24 > 14 ? 100 : 70),
    });
    const all = answerOf(record);
    for (const [i, day] of all.days.entries()) {
      const one = answerOf(record, { from: day.date, to: day.date });
      expect(one.days).toEqual([day]);
      expect(one.carpet.rows[0]).toEqual(all.carpet.rows[i]);
    }
  });

  it('go on to today where nothing was read since, and not beyond', () => {
    const record = recordedDays({ from: DAY, days: 2 });
    const answer = answerOf(record, { to: '2027-01-01', nowMs: dayAt('2026-06-25').startMs + HOUR_MS });
    expect(answer.missing.map(({ date }) => date)).toEqual(['2026-06-23', '2026-06-24', '2026-06-25']);
    expect(answer.today).toBe('2026-06-25');
  });

  it('begin with the first date on record, whatever zone is in force now', () => {
    const record = recordedDays({ from: DAY, days: 2 });
    for (const zone of ['America/New_York', 'Pacific/Auckland']) {
      const answer = answerOf(record, { zone, to: '2026-06-22', nowMs: dayAt('2026-06-25').startMs });
      expect([answer.days.map(({ date }) => date), answer.missing]).toEqual([['2026-06-21', '2026-06-22'], []]);
    }
  });

  it('are none for a station that recorded nothing', () => {
    const record = recordedDays({ from: DAY, missing: () => true });
    const { days, missing, bridges } = workedOf(record, { to: '2026-06-30', nowMs: endMs }).answer;
    expect([days, missing, bridges]).toEqual([[], [], []]);
  });

  it('of a date on which the zone was changed are two, and no instant is in both', () => {
    const settings = shedSettings({ zone: ZONE });
    const at = hourAt(12);
    const record = recordedDays({ from: DAY, missing: hour => hour >= 12, settings });
    // The owner moves the station's zone at noon; its afternoon counts there.
    goOn(record, { from: DAY }, shedSettings({ zone: 'Asia/Tokyo' }), at, endMs);
    const facts = [
      ...factsOfSettings(settings).filter(({ key }) => key !== 'zone'),
      factOf('zone', ZONE, 0),
      factOf('zone', 'Asia/Tokyo', at),
    ];
    const { days } = answerOf(record, { facts, zone: 'Asia/Tokyo', to: '2026-06-22' });
    expect(days.slice(0, 2).map(({ date, zone }) => [date, zone])).toEqual([
      [DAY, ZONE],
      [DAY, 'Asia/Tokyo'],
    ]);
    expect(Date.parse(days[0]!.endAt)).toBe(at);
    expect(Date.parse(days[1]!.startAt)).toBe(at);
    expect(days.slice(0, 2).map(offBy)).toEqual([0, 0]);
    const whole = firstDayOf(recordedDays({ from: DAY }));
    const sum = days.reduce((wh, day) => wh + (Date.parse(day.startAt) < endMs ? day.clearSkyWh! : 0), 0);
    expect(sum).toBeGreaterThan(0.99 * whole.clearSkyWh!);
  });
});

describe('the spans of the answer', () => {
  it('tell the state of charge they began and ended with, and leave short silences out', () => {
    const record = recordedDays({
      from: DAY,
      missing: hour => (hour >= 10 && hour < 14) || (hour >= 17 && hour < 17.1),
      stateOfChargePct: hour => (hour < 12 ? 80 : 35),
    });
    withSpans(record, { reason: 'lent', fromMs: hourAt(10), toMs: hourAt(14) });
    const { spans } = answerOf(record);
    expect(spans.find(({ reason }) => reason === 'lent')).toMatchObject({ beforePct: 80, afterPct: 35 });
    expect(spans.filter(({ reason }) => reason === 'noReading')).toHaveLength(1);
  });
});

describe('what holds the panels back', () => {
  /** Half of the clear sky's watts from noon on; the percents stay at 60, or are full in the morning. */
  const said = (limit: string | undefined, morningPct = 60) =>
    recordedDays({
      from: DAY,
      powerW: (at, hour) => clearW(at) * (hour >= 12 ? 0.5 : 1),
      stateOfChargePct: hour => (hour < 12 ? morningPct : 60),
      limitedBy: hour => (hour >= 12 ? limit : limit === undefined ? undefined : 'nothing'),
    });

  it('is what the station itself says, whatever its percent is', () => {
    const silent = firstDayOf(said(undefined));
    expect([silent.fullMin, silent.portLimitMin]).toEqual([0, 0]);
    expect(silent.whereItWent!.cloudWh).toBeGreaterThan(300);
    const full = firstDayOf(said('full', 100));
    expect(full.fullMin).toBeGreaterThan(9 * 60);
    expect(full.fullMin).toBeLessThan(10 * 60);
    expect(full.whereItWent!.fullWh).toBeGreaterThan(300);
    expect(full.performanceRatio).toBeCloseTo(0.8, 2);
    const port = firstDayOf(said('port'));
    expect([port.fullMin, port.portLimitMin > 9 * 60]).toEqual([0, true]);
    expect(port.whereItWent!.portLimitWh).toBeGreaterThan(300);
  });

  it('of a pack too cold to be charged is other, and no fault of the panels', () => {
    const cold = firstDayOf(said('cold'));
    expect([cold.fullMin, cold.portLimitMin]).toEqual([0, 0]);
    expect(cold.whereItWent!.otherWh).toBeGreaterThan(300);
    expect(cold.performanceRatio).toBeCloseTo(0.8, 2);
    expect(offBy(cold)).toBe(0);
  });
});
