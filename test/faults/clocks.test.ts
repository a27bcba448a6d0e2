import { describe, expect, it } from 'vitest';
import { stageClock } from '../support/clock-stage.ts';

const [SECOND_MS, MINUTE_MS, HOUR_MS] = [1000, 60_000, 3_600_000];
const NOON = Date.UTC(2026, 5, 21, 12);

const expectInOrder = (instants: readonly number[]) => {
  for (let i = 1; i < instants.length; i++) expect(instants[i]).toBeGreaterThan(instants[i - 1]!);
};

describe('a computer that sleeps for seven hours', () => {
  it.each([
    ['stands, as on Linux', false],
    ['runs on, as elsewhere', true],
  ])('leaves a gap of so long without energy, and a true clock, where its monotonic clock %s', async (_how, runsOn) => {
    const stage = await stageClock({ startAt: NOON });
    stage.live(5 * MINUTE_MS);
    stage.sleep(7 * HOUR_MS, runsOn);
    stage.live(5 * MINUTE_MS);
    expect(stage.clockState()).toBe('synced');
    expect(stage.calls).toEqual([]);
    const { instants, gapMs, coveredMs, inputMilliJ } = await stage.end();
    expectInOrder(instants);
    expect(instants.at(-1)! - instants[0]!).toBe(7 * HOUR_MS + 10 * MINUTE_MS - SECOND_MS);
    expect(coveredMs + gapMs).toBe(instants.at(-1)! - instants[0]!);
    // The second in which it fell asleep and woke was lived through where the clock tells it.
    expect([7 * HOUR_MS, 7 * HOUR_MS + SECOND_MS]).toContain(gapMs);
    expect(inputMilliJ).toBe(100 * coveredMs);
  });
});

describe('a computer that wakes twenty minutes ahead and is put right', () => {
  it('counts all that was lived through once, and the record meets the clock again', async () => {
    const stage = await stageClock({ startAt: NOON + 20 * MINUTE_MS });
    stage.live(MINUTE_MS);
    stage.set(-20 * MINUTE_MS);
    stage.live(72 * MINUTE_MS);
    expect(stage.clockState()).toBe('synced');
    const { instants, coveredMs, gapMs, inputMilliJ } = await stage.end();
    expectInOrder(instants);
    expect(instants.at(-1)).toBe(NOON + 73 * MINUTE_MS);
    expect(gapMs).toBe(0);
    expect(coveredMs).toBe(instants.at(-1)! - instants[0]!);
    expect(inputMilliJ).toBe(100 * (73 * MINUTE_MS - SECOND_MS));
  });
});

describe('a clock that is set an hour back or ahead while a station reconnects', () => {
  it.each([-HOUR_MS, HOUR_MS])('by %i ms loses no reading, counts nothing twice and says so', async byMs => {
    const stage = await stageClock({ startAt: NOON });
    stage.live(10 * MINUTE_MS);
    stage.set(byMs);
    stage.reconnect(30 * SECOND_MS);
    stage.live(10 * MINUTE_MS);
    stage.set(-byMs);
    stage.reconnect(30 * SECOND_MS);
    stage.live(10 * MINUTE_MS);
    const { instants, clocks, coveredMs, gapMs, inputMilliJ } = await stage.end();
    expect(instants).toHaveLength(1800);
    expectInOrder(instants);
    // The two reconnections are gaps; of the rest every second is counted once.
    expect(coveredMs).toBe(1797 * SECOND_MS);
    expect(coveredMs + gapMs).toBe(instants.at(-1)! - instants[0]!);
    expect(inputMilliJ).toBe(100 * coveredMs);
    expect(clocks).toContain('stepped');
  });

  it('and is led back by a time server at 500 ppm costs no coverage worth telling', async () => {
    const stage = await stageClock({ startAt: NOON });
    for (const ppm of [500, -500, 0])
      for (let second = 0; second < 600; second++) {
        stage.set(ppm / 1000);
        stage.live(SECOND_MS);
      }
    expect(stage.clockState()).toBe('synced');
    const { instants, coveredMs, inputMilliJ } = await stage.end();
    expectInOrder(instants);
    expect(coveredMs).toBeGreaterThan(1799 * SECOND_MS * 0.999);
    expect(inputMilliJ).toBeGreaterThan(100 * 1799 * SECOND_MS * 0.999);
  });
});

describe('an agent that is started again by a clock an hour behind its record', () => {
  it('goes on after its last row, overwrites none and doubts the clock', async () => {
    const stage = await stageClock({ startAt: NOON });
    stage.live(5 * MINUTE_MS);
    stage.set(-HOUR_MS);
    await stage.restart(20 * SECOND_MS);
    stage.live(5 * MINUTE_MS);
    expect(stage.clockState()).toBe('unknown');
    const { instants, coveredMs, gapMs } = await stage.end();
    expect(instants).toHaveLength(600);
    expectInOrder(instants);
    expect(coveredMs).toBe(598 * SECOND_MS);
    expect(coveredMs + gapMs).toBe(instants.at(-1)! - instants[0]!);
  });
});

describe('days of the calendar through the whole agent', () => {
  it.each([
    ['Lord Howe goes back by half an hour', 'Australia/Lord_Howe', '2026-04-05', '2026-04-04T11:00Z', 24.5],
    ['Lord Howe goes ahead by half an hour', 'Australia/Lord_Howe', '2026-10-04', '2026-10-03T11:00Z', 23.5],
    ['Berlin goes ahead', 'Europe/Berlin', '2026-03-29', '2026-03-28T21:00Z', 23],
    ['Berlin goes back', 'Europe/Berlin', '2026-10-25', '2026-10-24T20:00Z', 25],
    ['a leap day', 'Europe/Berlin', '2028-02-29', '2028-02-28T21:00Z', 24],
    ['the last of a year', 'America/St_Johns', '2026-12-31', '2026-12-31T01:00Z', 24],
  ])('%s, %s %s: each minute of that day is in it once', async (_what, zone, date, startsBefore, hours) => {
    const stage = await stageClock({ startAt: Date.parse(startsBefore), zone, everyMs: MINUTE_MS });
    stage.live(28 * HOUR_MS);
    const { days } = await stage.end();
    const day = days.find(one => one.date === date)!;
    expect((day.endMs - day.startMs) / HOUR_MS).toBe(hours);
    expect([day.coveredMs, day.gapMs]).toEqual([hours * HOUR_MS, 0]);
    expect(day.inputMilliJ).toBe(100 * hours * HOUR_MS);
    for (const [i, next] of days.entries()) if (i > 0) expect(next.startMs).toBe(days[i - 1]!.endMs);
  });
});
