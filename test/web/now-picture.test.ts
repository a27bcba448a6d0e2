import { describe, expect, it } from 'vitest';
import { nightsIn } from '#energy/nights';
import { nowColumns } from '../../web/charts/now-columns.ts';
import { dataOf, nowPlan } from '../../web/charts/now-options.ts';
import { nowPicture } from '../../web/charts/now-picture.ts';
import { paletteOf } from '../../web/charts/palette.ts';
import { plotLayout } from '../../web/charts/plot-layout.ts';
import { commonTop, scaleRange } from '../../web/charts/rows.ts';
import { spanAround } from '../../web/charts/span.ts';
import { hourTicks, tickStepHours } from '../../web/charts/ticks.ts';
import { formatsFor, timesFor } from '../../web/format.ts';
import { addReading, addSeries, emptyHistory } from '../../web/state/history.ts';
import { nowDrawable } from '../../web/views/now/drawing.ts';
import { EVENING_AT, PLACE, shedProjection, shedSeries, shedStation, ZONE } from '../support/honey-shed.ts';

const HOUR = 3_600_000;
const MINUTE = 60_000;
const plain = (text: string) => text.replace(/[\u00a0\u202f]/g, ' ');
const formats = formatsFor('en-GB', 'C');
const times = timesFor('en-GB', ZONE, '24');

function parts(gap: { fromMs: number; toMs: number } | null = null) {
  const history = emptyHistory(EVENING_AT - 18 * HOUR, MINUTE, ['stateOfChargePct', 'inputPowerW', 'outputPowerW']);
  addSeries(history, shedSeries(EVENING_AT - 18 * HOUR, EVENING_AT, gap));
  return {
    history,
    station: shedStation(),
    staleAfterMs: 5000,
    projection: shedProjection(),
    nowAt: EVENING_AT,
    formats,
    times,
  };
}
const picture = (widthPx = 1200, gap: Parameters<typeof parts>[0] = null) => nowPicture({ ...parts(gap), widthPx });

describe('the span of the drawing', () => {
  it('shows twelve hours each way, less past on a phone', () => {
    const wide = spanAround(EVENING_AT, EVENING_AT + 9 * HOUR, false);
    expect([(wide.nowMs - wide.fromMs) / HOUR, (wide.toMs - wide.nowMs) / HOUR]).toEqual([12, 12]);
    const phone = spanAround(EVENING_AT, EVENING_AT + 9 * HOUR, true);
    expect([(phone.nowMs - phone.fromMs) / HOUR, (phone.toMs - phone.nowMs) / HOUR]).toEqual([8, 11]);
  });

  it('reaches as far as the late end of the range, two days at most', () => {
    const ahead = (h: number) => (spanAround(0, h * HOUR, false).toMs - 0) / HOUR;
    expect([ahead(16), ahead(23), ahead(40), ahead(200)]).toEqual([18, 24, 48, 48]);
  });
});

describe('the hours on the axis', () => {
  it('are whole hours of the station’s zone', () => {
    const ticks = hourTicks(EVENING_AT - 2 * HOUR, EVENING_AT + 4 * HOUR, 'Asia/Kathmandu', 2);
    expect(ticks.map(at => timesFor('en', 'Asia/Kathmandu', '24').time(at))).toEqual(
      ['00:00', '02:00', '04:00'].slice(0, ticks.length),
    );
    expect(ticks.length).toBe(3);
  });

  it('skip the hour that does not exist when the clocks go forward', () => {
    const night = Date.UTC(2027, 2, 27, 23);
    const labels = hourTicks(night, night + 4 * HOUR, ZONE, 1).map(at => times.hour(at));
    expect(labels).toEqual(['00', '01', '03', '04', '05']);
  });

  it('leave room for their labels', () => {
    expect([1200, 358].map(px => tickStepHours(24 * HOUR, px, 84))).toEqual([2, 6]);
  });
});

describe('night', () => {
  it('runs from sunset to sunrise', () => {
    const [night, ...more] = nightsIn(EVENING_AT - 12 * HOUR, EVENING_AT + 12 * HOUR, PLACE);
    expect(more).toEqual([]);
    expect([times.time(night!.sunsetAt!), times.time(night!.sunriseAt!)]).toEqual(['17:01', '07:14']);
  });

  it('is not drawn where the place is not told', () => {
    expect(nightsIn(EVENING_AT, EVENING_AT + HOUR, null)).toEqual([]);
  });

  it('reaches over the edge where the drawing begins or ends in the dark', () => {
    const [first] = nightsIn(EVENING_AT, EVENING_AT + 24 * HOUR, PLACE);
    expect([first!.fromMs, first!.sunsetAt]).toEqual([EVENING_AT, null]);
    const dark = nightsIn(Date.UTC(2026, 11, 21), Date.UTC(2026, 11, 22), { latitudeDeg: 78, longitudeDeg: 15 });
    expect(dark).toHaveLength(1);
    expect(nightsIn(Date.UTC(2026, 5, 21), Date.UTC(2026, 5, 22), { latitudeDeg: 78, longitudeDeg: 15 })).toEqual([]);
  });
});

describe('the columns', () => {
  const { columns } = picture();

  it('rise in time and are all of one length', () => {
    expect(columns.at.every((at, i) => i === 0 || at > columns.at[i - 1]!)).toBe(true);
    const lengths = dataOf(picture()).map(column => column.length);
    expect(new Set(lengths)).toEqual(new Set([columns.at.length]));
  });

  it('hold the past on the left, the fan on the right, and meet at now', () => {
    const now = columns.aheadFrom - 1;
    expect(columns.at[now]).toBe(EVENING_AT);
    expect(columns.level[now]).toBe(columns.fan.p50[now]);
    expect(columns.fan.p50.slice(0, now).every(v => v === null)).toBe(true);
    expect(columns.level.slice(now + 1).every(v => v === null)).toBe(true);
  });

  it('keep the quantiles in their order at every step', () => {
    for (let i = columns.aheadFrom; i < columns.at.length; i++) {
      const { p5, p10, p25, p50, p75, p90, p95 } = columns.fan;
      const row = [p5[i]!, p10[i]!, p25[i]!, p50[i]!, p75[i]!, p90[i]!, p95[i]!];
      expect(row).toEqual([...row].sort((a, b) => a - b));
    }
  });

  it('draw no fan where nothing may be promised', () => {
    const bare = nowColumns(parts().history, null, spanAround(EVENING_AT, null, false), 0);
    expect(bare.fan.p50.filter((v, i) => v !== null && i >= bare.aheadFrom)).toEqual([]);
  });

  it('cut a kettle at the common scale and keep its number', () => {
    expect(columns.rowTopW).toBe(340);
    expect(columns.cuts.map(cut => [times.hour(cut.at), cut.watts])).toEqual([
      ['12', 1857],
      ['16', 1762],
    ]);
    expect(Math.max(...columns.output.map(v => v ?? 0))).toBe(340);
  });

  it('take a scale that holds all input, and all output where that is near', () => {
    expect(commonTop([100, 338], [20, 40])).toBe(340);
    expect(commonTop([0, null], [20, 41])).toBe(41);
    expect(commonTop([], [])).toBe(10);
  });

  it('leave a gap empty and outline it', () => {
    const gap = { fromMs: EVENING_AT - 5 * HOUR, toMs: EVENING_AT - 4 * HOUR };
    const withGap = picture(1200, gap);
    const inside = withGap.columns.at.map((at, i) =>
      at > gap.fromMs && at < gap.toMs ? withGap.columns.level[i] : 'outside',
    );
    expect(inside.filter(v => v !== 'outside' && v !== null)).toEqual([]);
    expect(withGap.gaps).toEqual([{ ...gap, reason: null }]);
  });
});

describe('a source that is slow or typed', () => {
  const sparse = (minutes: number, change: object) => {
    const history = emptyHistory(EVENING_AT - 2 * HOUR, MINUTE, ['stateOfChargePct', 'inputPowerW', 'outputPowerW']);
    for (let at = EVENING_AT - 2 * HOUR; at < EVENING_AT; at += minutes * MINUTE) {
      addReading(history, at, { stateOfChargePct: 50, inputPowerW: 0, outputPowerW: 40 });
    }
    return nowPicture({ ...parts(), history, widthPx: 1200, ...change });
  };

  it('is one line where readings come every ten minutes as they should', () => {
    const slow = sparse(10, { staleAfterMs: 30 * MINUTE });
    expect(slow.gaps).toEqual([]);
    expect(slow.columns.level.slice(0, 110).includes(null)).toBe(false);
  });

  it('has gaps where the same readings should come every second', () => {
    expect(sparse(10, { staleAfterMs: 5000 }).gaps).toHaveLength(12);
  });

  it('is dots where numbers are typed now and then', () => {
    const typed = sparse(40, { staleAfterMs: null, station: shedStation({ transport: 'typed' }) });
    expect([typed.gaps.length, typed.dots.length]).toEqual([0, 3]);
  });
});

describe('the picture', () => {
  it('marks the promised end solid at the floor, the middle open, and names both as the sentence does', () => {
    const { range } = picture();
    expect(range).toMatchObject({ percent: 10, promised: { label: '01:20' }, middle: { label: '03:10' } });
    expect(times.time(range!.highAt)).toBe('05:30');
  });

  it('promises the late end when it fills', () => {
    const at = (h: number) => new Date(EVENING_AT + h * HOUR).toISOString();
    const projection = shedProjection({
      toward: 'full',
      emptyAt: null,
      fullAt: { p10: at(1), p50: at(2), p90: at(3) },
    });
    const { range } = nowPicture({ ...parts(), projection, widthPx: 1200 });
    expect(range).toMatchObject({ percent: 100, promised: { label: '23:00' }, middle: { label: '22:00' } });
  });

  it('words its labels', () => {
    const p = picture();
    expect([p.nowLabel, p.floor.label, p.rowLabels.input, p.nights[0]!.sunsetLabel].map(text => plain(text!))).toEqual([
      '20:00 now',
      'floor 10 %',
      'coming in, to 340 W',
      'sunset 17:01',
    ]);
    expect(p.ticks.map(t => t.label).join(' ')).toBe('08 10 12 14 16 18 20 22 00 02 04 06 08');
  });

  it('stands each part on its own pixels of one plot', () => {
    const layout = plotLayout(340);
    const y = (value: number, [min, max]: [number, number]) => (340 * (max - value)) / (max - min);
    const level = scaleRange(340, layout.emptyPx, layout.fullPx, 100);
    expect([y(0, level), y(100, level)].map(Math.round)).toEqual([layout.emptyPx, layout.fullPx]);
    expect(layout.fullPx < layout.emptyPx && layout.emptyPx < layout.inBasePx - layout.rowPx).toBe(true);
    expect(layout.inBasePx < layout.outBasePx - layout.rowPx && layout.outBasePx < 340).toBe(true);
  });

  it('becomes options of one chart with three nested bands', () => {
    const palette = paletteOf({ getPropertyValue: name => (name === '--hair-width' ? '1px' : name) });
    const library = { stepped: () => null, ratio: () => 1 };
    const { options, data } = nowPlan(picture(), palette, 1200, 374, library);
    expect(options.bands).toHaveLength(3);
    expect(options.series).toHaveLength(data.length);
    for (const { series } of options.bands!) {
      const [high, low] = [data[series[0]]!, data[series[1]]!];
      for (let i = 0; i < high.length; i++) if (high[i] !== null) expect(high[i]!).toBeGreaterThanOrEqual(low[i]!);
    }
  });

  it('reads itself aloud: a sentence, each place of the cursor, a row an hour', () => {
    const drawing = nowDrawable(parts(), false);
    expect(plain(drawing.summary)).toContain('now it is 52 %');
    expect(plain(drawing.read(drawing.start))).toMatch(/^20:00: 52 % left, 0 W in, \d+ W out$/);
    expect(plain(drawing.read(drawing.count - 1))).toContain('four times in five');
    expect(drawing.rows).toHaveLength(25);
    const holed = nowDrawable(parts({ fromMs: EVENING_AT - 5 * HOUR, toMs: EVENING_AT - 4 * HOUR }), false);
    expect(holed.summary).toContain('One stretch has no readings.');
  });
});
