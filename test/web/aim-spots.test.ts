import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { WireSpot } from '#messages';
import { formatsFor, timesFor } from '../../web/format.ts';
import { windOf } from '../../web/views/aim/degrees.ts';
import { layoutSkyline } from '../../web/views/aim/skyline-layout.ts';
import { layoutSpots, type SpotsPlan } from '../../web/views/aim/spots-layout.ts';
import { comingAt, edgesText, planText, seenText, standsText, stripText } from '../../web/views/aim/spots-telling.ts';
import { WINDS } from '../../web/words/aim.ts';
import { ZONE } from '../support/honey-shed.ts';
import { learnedYard, trackOn } from '../support/honey-spots.ts';
import { yardSpot } from '../support/honey-yard.ts';

const HOUR_MS = 3_600_000;
const NOON_AT = Date.UTC(2026, 10, 8, 11, 36);
const formats = formatsFor('en-GB', 'C');
const times = timesFor('en-GB', ZONE, '24');
const plain = (text: string) => text.replace(/[\u00a0\u202f]/g, ' ');

const plan = (over: Partial<SpotsPlan> = {}): SpotsPlan => ({
  rows: [{ name: 'step', standing: true, spans: null }],
  sunriseMs: NOON_AT - 5 * HOUR_MS,
  sunsetMs: NOON_AT + 5 * HOUR_MS,
  nowMs: NOON_AT,
  zone: ZONE,
  labelOf: at => times.hour(at),
  ...over,
});

describe('the clock of sun and shade', () => {
  const spans = fc
    .uniqueArray(fc.integer({ min: 1, max: 599 }), { maxLength: 6 })
    .map(cuts => [0, ...cuts.sort((a, b) => a - b), 600])
    .map(edges =>
      edges.slice(1).map((to, i) => ({
        fromMs: NOON_AT + (edges[i]! - 300) * 60_000,
        toMs: NOON_AT + (to - 300) * 60_000,
        is: (['sun', 'shade', 'unknown'] as const)[i % 3]!,
      })),
    );

  it('keeps every box, name and hour in its room, at any width and on either clock', () => {
    fc.assert(
      fc.property(
        fc.array(fc.record({ name: fc.string({ minLength: 1, maxLength: 40 }), spans: fc.option(spans) }), {
          minLength: 1,
          maxLength: 8,
        }),
        fc.integer({ min: 200, max: 760 }),
        fc.constantFrom('12' as const, '24' as const),
        (rows, width, clock) => {
          const hours = timesFor('en-GB', ZONE, clock);
          const layout = layoutSpots(
            plan({ rows: rows.map(row => ({ ...row, standing: false })), labelOf: at => hours.hour(at) }),
            width,
          );
          expect(layout.width).toBeLessThanOrEqual(width);
          for (const row of layout.rows) {
            expect(row.y + layout.stripHeight).toBeLessThanOrEqual(layout.height);
            for (const box of row.boxes) {
              expect(box.x).toBeGreaterThanOrEqual(layout.left - 0.01);
              expect(box.x + box.width).toBeLessThanOrEqual(width + 1.51);
            }
          }
          const xs = layout.hours.map(({ x }) => x);
          expect(xs).toEqual([...xs].sort((a, b) => a - b));
          for (const [i, x] of xs.entries()) if (i > 0) expect(x - xs[i - 1]!).toBeGreaterThan(24);
        },
      ),
    );
  });

  it('stands short names beside their strips, long ones over them', () => {
    const named = (...names: string[]) =>
      layoutSpots(plan({ rows: names.map(name => ({ name, standing: false, spans: null })) }), 328);
    expect(named('step', 'hive stand').left).toBeGreaterThan(60);
    const over = named('step', 'behind the old pear tree');
    expect(over.left).toBe(0);
    expect(over.rows[1]!.name.y).toBeLessThan(over.rows[1]!.y);
  });

  it('has its line for now only while the sun is up, and whole hours of the zone below', () => {
    const layout = layoutSpots(plan(), 328);
    expect(layout.now!.x).toBeCloseTo((layout.left + layout.right) / 2, 5);
    expect(layoutSpots(plan({ nowMs: NOON_AT + 6 * HOUR_MS }), 328).now).toBeNull();
    expect(layout.hours.map(({ text }) => text)).toEqual(['08', '10', '12', '14', '16']);
    const nepal = timesFor('en-GB', 'Asia/Kathmandu', '24');
    const hours = layoutSpots(plan({ zone: 'Asia/Kathmandu', labelOf: at => nepal.time(at) }), 760).hours;
    expect(hours.length).toBeGreaterThan(2);
    for (const { text } of hours) expect(text).toMatch(/:00$/);
  });

  it('draws what nobody saw as unknown all day', () => {
    const [row] = layoutSpots(plan(), 328).rows;
    expect(row!.boxes.map(({ is }) => is)).toEqual(['unknown']);
  });
});

describe('the skyline', () => {
  const track = trackOn(NOON_AT);
  const size = { width: 328, height: 236 };
  const wind = (deg: number) => WINDS[windOf(deg)]!;
  const part = (azimuthDeg: number, edgeDeg: number | null, minutes = 60) => ({
    azimuthDeg,
    edgeDeg,
    sunFromDeg: edgeDeg === null ? null : edgeDeg + 1,
    shadeToDeg: edgeDeg === null ? null : edgeDeg - 1,
    minutes,
  });

  it('has noon in the middle, the sun on its way, and joins edges of neighbours', () => {
    const layout = layoutSkyline([part(217.5, 20), part(222.5, 22), part(262.5, 9)], track, NOON_AT, size, wind);
    const high = layout.track.reduce((a, b) => (b.y < a.y ? b : a));
    expect(high.x).toBeCloseTo((layout.left + layout.width) / 2, -1);
    expect(layout.edges.map(stroke => stroke.length)).toEqual([4, 2]);
    expect(layout.edges[0]![2]!.y).toBeLessThan(layout.edges[0]![0]!.y);
    expect(layout.sun!.y).toBeGreaterThanOrEqual(high.y);
    expect(layout.winds.map(({ text }) => text)).toContain('south');
  });

  it('goes round through north without a seam where the sun does', () => {
    const south = track.map(({ at, azimuthDeg, elevationDeg }) => ({
      at,
      azimuthDeg: (540 - azimuthDeg) % 360,
      elevationDeg,
    }));
    const layout = layoutSkyline([part(352.5, 12), part(357.5, 12), part(2.5, 13)], south, NOON_AT, size, wind);
    expect(layout.edges.map(stroke => stroke.length)).toEqual([6]);
    for (const [i, point] of layout.track.entries())
      if (i > 0) expect(Math.abs(point.x - layout.track[i - 1]!.x)).toBeLessThan(30);
  });

  it('keeps everything on the paper', () => {
    fc.assert(
      fc.property(
        fc.uniqueArray(fc.integer({ min: 0, max: 71 }), { minLength: 1, maxLength: 72 }),
        fc.double({ min: 2, max: 88, noNaN: true }),
        fc.integer({ min: 200, max: 760 }),
        (directions, edge, width) => {
          const parts = directions.sort((a, b) => a - b).map(i => part(2.5 + 5 * i, i % 3 === 0 ? null : edge));
          const layout = layoutSkyline(parts, track, NOON_AT, { width, height: 236 }, wind);
          const boxes = [...layout.sunny, ...layout.shaded, ...layout.minutes];
          for (const { x, y, width: w, height } of boxes) {
            expect(Math.min(x, y, w, height)).toBeGreaterThanOrEqual(0);
            expect(x + w).toBeLessThanOrEqual(width + 0.01);
            expect(y + height).toBeLessThanOrEqual(236.01);
          }
          for (const { x } of layout.winds) expect(x).toBeLessThan(width);
        },
      ),
    );
  });
});

describe('what is said of a spot', () => {
  const [step, fence, stand] = learnedYard(NOON_AT).spots as [WireSpot, WireSpot, WireSpot];
  const coming = (spot: WireSpot, nowMs = NOON_AT) => plain(comingAt(spot, nowMs, formats, times));

  it('foretells the next change in round minutes, with a range no narrower than it is', () => {
    expect(coming(step)).toBe('Shade from about 14:50, give or take 10 min');
    const wide = { ...step, next: { at: '2026-11-08T13:47:00.000Z', is: 'sun' as const, giveOrTakeMin: 22 } };
    expect(coming(wide)).toBe('Sun from about 14:50, give or take 25 min');
  });

  it('says what the rest of the day is, and when nothing can be said', () => {
    expect(coming(fence)).toBe('Sun for the rest of the day, as far as seen');
    expect(coming(fence, NOON_AT + 8 * HOUR_MS)).toBe('The day is over there');
    expect(coming(stand)).toBe('One clear day seen there: too few to tell this day');
    expect(coming({ ...stand, clearDays: 0 })).toBe('No clear day seen there yet');
    const gap = fence.strip!.map(span => ({ ...span, is: span.is === 'sun' ? ('unknown' as const) : span.is }));
    expect(coming({ ...fence, strip: gap })).toBe('What comes next is not known');
  });

  it('tells how panels stand and since when', () => {
    expect(plain(standsText(step, NOON_AT, times))).toBe(
      'tilt 35° · facing 180° (south) · panels here since today 08:30',
    );
    expect(plain(standsText(fence, NOON_AT, times))).toBe(
      'how panels stand there is not known · panels last here Friday 09:00',
    );
    expect(plain(standsText(yardSpot({ sinceAt: null, azimuthDeg: null, standing: false }), NOON_AT, times))).toBe(
      'tilt 35° · panels never stood here',
    );
  });

  it('says the strip, the edges and the evidence to those who do not see them', () => {
    expect(plain(stripText(step, times))).toMatch(/^step: not known .*, sun 08:12 to 14:49, shade 14:49 to 16:12/);
    expect(edgesText(step.skyline!)).toBe(
      'Edges were found towards east-south-east (103° to 113°), 8° high; south-west (213° to 233°), 23° to 27° high.',
    );
    expect(edgesText([])).toContain('No edge was found');
    expect(plain(seenText(step, formats))).toBe('Seen on 7 clear days, 4 180 minutes that told something.');
  });

  it('says the best round as one sentence, whether it begins here or with a walk', () => {
    const answer = learnedYard(NOON_AT);
    expect(planText(answer, formats, times)!.map(plain)).toEqual([
      'Step until 14:30, then fence.',
      'About 210 Wh more than staying at step, under a clear sky.',
    ]);
    const away = { ...answer, plan: { ...answer.plan!, steps: [answer.plan!.steps[1]!] } };
    expect(planText(away, formats, times)![0]).toBe('Fence now.');
    expect(planText({ ...answer, plan: null }, formats, times)).toBeNull();
  });
});
