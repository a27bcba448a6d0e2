import { describe, expect, it } from 'vitest';
import type { Fact, SeriesRequest } from '#messages';
import { createEvidence } from '../../agent/commands/run/aiming/evidence.ts';
import { skyPlaceOf } from '../../agent/commands/run/aiming/pointing.ts';
import { factsOf } from '../../agent/commands/run/station-facts.ts';
import { planeKey, STANDING, standingJson } from '../../agent/derive/standing.ts';
import { stageAims, stationSettings } from '../support/aim-stage.ts';
import { batch, freshFolder, openTestRecord, reading } from '../support/record.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const DAY_MS = 24 * HOUR_MS;
const MIDNIGHT = Date.UTC(2026, 5, 1);
const SETTINGS = stationSettings();
const FACTS = factsOf(SETTINGS, 1000, 'UTC');

const stood = (spot: string | null, validFromMs: number): Fact => ({
  station: 'shed',
  key: STANDING,
  valueJson: standingJson(spot),
  validFromMs,
});

/** Which minutes were asked of the record, day by day, and how often others had their turn. */
async function learned(dated: readonly Fact[], nowMs: number, earlierMs: readonly number[] = []) {
  const asked: SeriesRequest[] = [];
  let pauses = 0;
  const record = openTestRecord(freshFolder());
  const evidence = createEvidence(
    {
      series(request) {
        asked.push(request);
        return record.series(request);
      },
    },
    async () => {
      pauses++;
    },
  );
  const place = skyPlaceOf(FACTS.place!);
  for (const at of [...earlierMs, nowMs])
    await evidence.learn({ station: 'shed', facts: FACTS, dated, place, ratedW: 270, nowMs: at });
  return { asked: asked.map(({ fromMs, toMs }) => [fromMs, toMs]), pauses, evidence };
}

describe('what the record teaches of spots', () => {
  it('is read day by day, with a pause after each, from a minute after the panels were set down', async () => {
    const from = MIDNIGHT + 10 * HOUR_MS + 30_000;
    const now = MIDNIGHT + 2 * DAY_MS + HOUR_MS;
    const { asked, pauses } = await learned([stood('step', from)], now);
    expect(asked).toEqual([
      [from + 30_000 + MINUTE_MS, MIDNIGHT + DAY_MS],
      [MIDNIGHT + DAY_MS, MIDNIGHT + 2 * DAY_MS],
      [MIDNIGHT + 2 * DAY_MS, now - 5 * MINUTE_MS],
    ]);
    expect(pauses).toBe(3);
  });

  it('is nothing at an unnamed spot', async () => {
    const facts = [stood('step', MIDNIGHT), stood(null, MIDNIGHT + HOUR_MS), stood('fence', MIDNIGHT + 2 * HOUR_MS)];
    const { asked } = await learned(facts, MIDNIGHT + 3 * HOUR_MS);
    expect(asked).toEqual([
      [MIDNIGHT + MINUTE_MS, MIDNIGHT + HOUR_MS],
      [MIDNIGHT + 2 * HOUR_MS + MINUTE_MS, MIDNIGHT + 3 * HOUR_MS - 5 * MINUTE_MS],
    ]);
  });

  it('goes no further back than 90 days, and goes on where it was', async () => {
    const now = MIDNIGHT + 200 * DAY_MS + HOUR_MS;
    const first = await learned([stood('step', MIDNIGHT)], now);
    expect(first.asked[0]![0]).toBe(now - 90 * DAY_MS);
    const twice = await learned([stood('step', MIDNIGHT)], now + 10 * MINUTE_MS, [now]);
    expect(twice.asked.at(-1)).toEqual([now - 5 * MINUTE_MS, now + 5 * MINUTE_MS]);
    expect(twice.asked).toHaveLength(first.asked.length + 1);
  });

  it('is cut where the owner said that the panels stand otherwise', async () => {
    const turned = {
      ...stood('step', MIDNIGHT + HOUR_MS),
      key: planeKey('step'),
      valueJson: '{"tiltDeg":40,"azimuthDeg":180}',
    };
    const { asked } = await learned([stood('step', MIDNIGHT), turned], MIDNIGHT + 2 * HOUR_MS);
    expect(asked.map(([, to]) => to)).toEqual([MIDNIGHT + HOUR_MS, MIDNIGHT + 2 * HOUR_MS - 5 * MINUTE_MS]);
  });
});

describe('the answer about aiming', () => {
  it('is made once a minute, and anew after a change', async () => {
    const stage = stageAims();
    stage.live(30, 180);
    const first = await stage.door.answer('shed');
    expect(await stage.door.answer('shed')).toBe(first);
    stage.aims.changeSpots('shed', { do: 'add', name: 'Step' });
    const second = await stage.door.answer('shed');
    expect([first.spots.length, second.spots.length]).toEqual([0, 1]);
    stage.clock.at += MINUTE_MS;
    expect(await stage.door.answer('shed')).not.toBe(second);
  });

  it('tells the sun, where to point and the watts to expect, and why fewer come', async () => {
    const stage = stageAims();
    stage.live(30, 40, 'shed', { states: { inputLimitedBy: 'nothing' } });
    const { pointing, track, carries } = await stage.door.answer('shed');
    expect(pointing!.sun.elevationDeg).toBeGreaterThan(30);
    expect(pointing!.expected!.middleW).toBeGreaterThan(100);
    expect(pointing!.causes.length).toBeGreaterThan(0);
    expect(track!.length).toBeGreaterThan(50);
    expect(carries).toBe(true);
  });

  it('says less without a place, and still has the spots', async () => {
    const stage = stageAims();
    const { place: _, ...placeless } = stationSettings();
    stage.seat(placeless);
    stage.live(60, 180);
    stage.aims.changeSpots('shed', { do: 'add', name: 'Step' });
    const answer = await stage.door.answer('shed');
    expect(answer).toMatchObject({ pointing: null, track: null, plan: null });
    expect(answer.spots).toMatchObject([{ strip: null, skyline: null, evidenceMin: 0 }]);
    expect(stage.aim().here).not.toBeNull();
  });

  it('learns a spot from what was recorded there', async () => {
    const stage = stageAims(undefined, MIDNIGHT + 4 * DAY_MS + 12 * HOUR_MS);
    const minutes = Array.from({ length: 4 * 24 * 60 }, (_, i) => {
      const at = MIDNIGHT + i * MINUTE_MS;
      const hour = (i % 1440) / 60;
      const solarPowerW = Math.max(0, Math.round(240 * Math.sin(((hour - 5) / 14) * Math.PI)));
      return reading(i + 1, { solarPowerW, stateOfChargePct: 50 }, { at });
    });
    stage.record.commit(batch(minutes, { facts: [stood('step', MIDNIGHT)] }));
    stage.aims.changeSpots('shed', { do: 'add', name: 'Step' });
    const { spots } = await stage.door.answer('shed');
    expect(spots[0]!.evidenceMin).toBeGreaterThan(0);
  });
});
