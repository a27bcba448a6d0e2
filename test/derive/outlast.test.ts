import { describe, expect, it } from 'vitest';
import { createSteadyDots } from '#energy/estimates/outlast/steady-dots';
import { asking, type OutlastQuestion, type OutlastStation, outlastNow } from '../../agent/derive/outlast.ts';
import { outlastTogether } from '../../agent/derive/outlast-together.ts';
import { cycling } from '../support/household.ts';
import { LIVED_FACTS, type Lived, livedStation } from '../support/lived-station.ts';

const HOUR = 3_600_000;
const DAY = 24 * HOUR;
const freezer = cycling(95, 17, 50);
/** A freezer all along, a warmer of 22 W most of the log, the rest 18 W. */
const shed = () => livedStation(m => freezer(m + 5000) + (m > -1175 ? 22 : 0) + 18, { fromPct: 88 });
const stationOf = ({ engine }: Lived, over: Partial<OutlastStation> = {}): OutlastStation => ({
  engine,
  facts: LIVED_FACTS,
  onMains: false,
  typed: false,
  outletsOff: false,
  named: [{ name: 'Chest freezer', powerW: 95, mustStayOn: true }],
  steady: createSteadyDots(),
  ...over,
});
const questionAt = (at: number, hours: number): OutlastQuestion => ({
  at,
  untilAt: at + hours * HOUR,
  floorPct: 10,
  dayEndsAt: Array.from({ length: 7 }, (_, i) => at + 8 * HOUR + i * DAY),
  skies: [],
  sourceW: { generator: 720, vehicle: null, wall: null },
});
let paused = 0;
const pause = async () => {
  paused++;
};
const answer = (station: OutlastStation, q: OutlastQuestion) => outlastNow(asking(station, q), station, q, pause);

describe('whether it lasts until then', async () => {
  const lived = shed();
  const q = questionAt(lived.at, 6);
  const found = await answer(stationOf(lived), q);

  it('tells what is plugged in, and never what leaving off what must stay on would do', () => {
    const byKind = (kind: string) => found.loads.find(l => l.load.kind === kind)!;
    expect(byKind('cycling').named?.name).toBe('Chest freezer');
    expect(byKind('cycling')).toMatchObject({ without: null, half: null, quietMin: null });
    expect(byKind('steady').load.powerW).toBeCloseTo(22, -0.5);
    expect(byKind('steady').without!.addsMin).toBeGreaterThan(30);
    expect(byKind('steady').half!.addsMin).toBeLessThan(byKind('steady').without!.addsMin!);
    for (const { loads } of found.steps) expect(loads.every(l => l.named?.mustStayOn !== true)).toBe(true);
  });

  it('never has fewer chances with something off, at most as much to use as is used where they are few', () => {
    for (const { without, half } of found.loads) {
      if (without === null || half === null) continue;
      expect(without.chances).toBeGreaterThanOrEqual(found.chances!);
      expect(half.chances).toBeLessThanOrEqual(without.chances);
    }
    if (found.chances! < 18) expect(found.budgetW).toBeLessThan(found.likely!.highW);
  });

  it('allows at least what is likely to be used wherever it is sure enough to get there', async () => {
    for (const hours of [2, 3, 4, 5, 7, 9]) {
      const { chances, budgetW, likely } = await answer(stationOf(lived), questionAt(lived.at, hours));
      if (chances! >= 18) expect([hours, budgetW! >= likely!.middleW]).toEqual([hours, true]);
      if (chances! <= 2) expect([hours, budgetW! < likely!.middleW]).toEqual([hours, true]);
    }
  });

  it('holds still from one answer to the next: the same station is told on', async () => {
    const station = stationOf(shed());
    const told = new Set<number>();
    for (let i = 0; i < 8; i++) {
      const at = lived.at + i * 30_000;
      told.add((await answer(station, { ...questionAt(at, 6), untilAt: lived.at + 6 * HOUR })).chances!);
    }
    expect(told.size).toBe(1);
  });

  it('says what to add with the watts that were told, and with usual ones where not', () => {
    expect(found.added.map(({ source, powerW, assumed }) => [source, powerW, assumed])).toEqual([
      ['generator', 720, false],
      ['vehicle', 100, true],
      ['wall', 500, true],
    ]);
  });

  it('has no sun to tell of where no place is known, and gives way between questions', () => {
    expect(found.tomorrow).toEqual([]);
    expect(found.days.every(day => day.sunWh === null)).toBe(true);
    expect(found.days).toHaveLength(7);
    expect(paused).toBeGreaterThan(5);
  });

  it('is the same for the same record', async () => {
    expect(await answer(stationOf(lived), q)).toEqual(found);
  });

  it('is silent where nothing can be said yet, but shows what was seen', async () => {
    const young = livedStation(() => 60, { minutes: 8, log: 0 });
    const said = await answer(stationOf(young), questionAt(young.at, 8));
    expect(said).toMatchObject({ chances: null, dots: [], steps: [], budgetW: null, added: [], days: [] });
    expect(said.outlook.why).toBe('noHistory');
    expect(said.loads.every(l => l.without === null)).toBe(true);
  });
});

describe('two stations as one reserve', () => {
  it('tells of the one load that is better off at the fuller one', async () => {
    const low = shed();
    const full = livedStation(() => 15, { fromPct: 99 });
    const q = questionAt(low.at, 5);
    const here = stationOf(low);
    const mine = asking(here, q);
    const now = await outlastNow(mine, here, q, pause);
    const together = (await outlastTogether(mine, stationOf(full, { named: [] }), 10, q, now, pause))!;
    expect(together.there).toBe(20);
    expect(together.both).toBe(now.chances);
    expect(together.move!.both).toBeGreaterThan(together.both!);
  });

  it('says nothing of one that has not been read for long enough', async () => {
    const low = shed();
    const q = questionAt(low.at, 5);
    const here = stationOf(low);
    const mine = asking(here, q);
    const now = await outlastNow(mine, here, q, pause);
    const young = stationOf(livedStation(() => 60, { minutes: 8, log: 0 }));
    expect(await outlastTogether(mine, young, 10, q, now, pause)).toMatchObject({
      there: null,
      both: null,
      move: null,
    });
  });
});
