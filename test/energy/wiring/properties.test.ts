import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  type Arrangement,
  checkArrangement,
  checkArrangements,
  isSafe,
  type Panel,
  type Port,
  type Weather,
} from '#energy/wiring/index';
import { anyPanel, anyPort, anyWeather } from '../../support/any-panels.ts';

const share = fc.double({ min: 0, max: 1, noNaN: true });
const kinds = fc.array(anyPanel(4), { minLength: 1, maxLength: 2 });
const SLACK = 1 + 1e-8;

/** How near to what panels give, and to which way of wiring them, a port's limits lie. */
const narrowed = fc.record({
  way: fc.nat(200),
  volts: fc.double({ min: 0.88, max: 1.08, noNaN: true }),
  amps: fc.double({ min: 0.75, max: 1.5, noNaN: true }),
});

/** A port whose limits lie about one of the ways, as those of a port drawn anyhow hardly ever do. */
function nearLimits(
  panels: readonly Panel[],
  port: Port,
  weather: Weather,
  { way, volts, amps }: { way: number; volts: number; amps: number },
): Port {
  const all = checkArrangements(panels, port, weather);
  const { strings } = all[way % all.length]!;
  const maxV = volts * Math.max(...strings.map(string => openV(string, panels, weather.coldestC!)));
  return { ...port, minV: 1, maxV, maxA: amps * 1.25 * brightest(strings, panels), maxW: 5000 };
}

/** Sum of the short-circuit currents, each string's of its strongest panel. */
const brightest = (strings: Arrangement['strings'], panels: readonly Panel[]) =>
  strings.reduce((sum, string) => sum + Math.max(...panels.map((p, kind) => (string[kind] ? p.shortCircuitA! : 0))), 0);

/** Volts of a string that nothing is connected to, reckoned from the labels alone. */
const openV = (string: readonly number[], panels: readonly Panel[], tempC: number) =>
  panels.reduce(
    (sum, p, kind) =>
      sum +
      string[kind]! *
        p.openCircuitV! *
        (1 + (p.openCircuitPctPerK! / 100) * (tempC - 25)) *
        (1 + p.tolerancePct! / 100),
    0,
  );

const numbersOf = ({ strings: _, used: __, reasons, ...numbers }: Arrangement) => ({
  ...numbers,
  codes: reasons.map(({ code }) => code).sort(),
});

/** What two lists have in common besides order and binary fractions. */
const alike = (all: readonly Arrangement[]) =>
  all
    .map(one =>
      JSON.stringify(numbersOf(one), (_, value) => (typeof value === 'number' ? Number(value.toPrecision(9)) : value)),
    )
    .sort();

describe('whatever the panels, the port and the weather', () => {
  it('nothing safe exceeds a limit at any temperature from the coldest up, tolerance and 1.25 included', () => {
    fc.assert(
      fc.property(kinds, anyPort, anyWeather, share, narrowed, (panels, wide, weather, warmer, narrow) => {
        const port = nearLimits(panels, wide, weather, narrow);
        const tempC = weather.coldestC! + warmer * 100;
        for (const found of checkArrangements(panels, port, weather)) {
          if (!isSafe(found.verdict)) continue;
          for (const string of found.strings) {
            expect(openV(string, panels, tempC)).toBeLessThanOrEqual(port.maxV! * SLACK);
          }
          const bright = 1.25 * brightest(found.strings, panels);
          if (!port.overCurrentAllowed || found.verdict !== 'clips') {
            expect(bright).toBeLessThanOrEqual(port.maxA! * SLACK);
          }
          expect(found.deliverableW!).toBeLessThanOrEqual(port.maxW! * SLACK);
        }
      }),
    );
  });

  it('what fits loses nothing in the limits of the port and starts on the hottest day', () => {
    fc.assert(
      fc.property(kinds, anyPort, anyWeather, (panels, port, weather) => {
        for (const found of checkArrangements(panels, port, weather)) {
          if (!found.verdict.startsWith('fits')) continue;
          expect(found.clippedW!).toBeLessThanOrEqual(1e-6 * found.peakW!);
          expect(found.hotOperatingV! * SLACK).toBeGreaterThanOrEqual(port.minV!);
        }
      }),
    );
  });

  it('more cold never lowers the volts, nor makes a verdict of volts better', () => {
    fc.assert(
      fc.property(anyPanel(), anyPort, anyWeather, share, (panel, port, weather, colder) => {
        const cold = { ...weather, coldestC: weather.coldestC! - 40 * colder };
        const warm = new Map(checkArrangements([panel], port, weather).map(a => [`${a.series}x${a.parallel}`, a]));
        for (const found of checkArrangements([panel], port, cold)) {
          const before = warm.get(`${found.series}x${found.parallel}`)!;
          expect(found.coldOpenCircuitMaxV!).toBeGreaterThanOrEqual(before.coldOpenCircuitMaxV!);
          if (tooHigh(before)) expect(tooHigh(found)).toBe(true);
        }
      }),
    );
  });

  it('more panels in series never cure too high a voltage, more strings never too high a current', () => {
    fc.assert(
      fc.property(anyPanel(8), anyPort, anyWeather, (panel, port, weather) => {
        const all = checkArrangements([panel], port, weather);
        for (const a of all)
          for (const b of all) {
            if (b.series >= a.series && tooHigh(a)) expect(tooHigh(b)).toBe(true);
            if (b.parallel >= a.parallel && tooStrong(a)) expect(tooStrong(b)).toBe(true);
          }
      }),
    );
  });

  it('the order of strings, of kinds and of equal panels changes nothing', () => {
    fc.assert(
      fc.property(anyPanel(3), anyPanel(3), anyPort, anyWeather, (a, b, port, weather) => {
        const [first, second] = [
          { ...a, name: 'a' },
          { ...b, name: 'b' },
        ];
        const there = checkArrangements([first, second], port, weather).filter(alone);
        const back = checkArrangements([second, first], port, weather).filter(alone);
        expect(alike(back)).toEqual(alike(there));
        for (const found of checkArrangements([first, second], port, weather)) {
          const turned = checkArrangement([...found.strings].reverse(), [first, second], port, weather);
          expect(alike([turned])).toEqual(alike([found]));
        }
      }),
      { numRuns: 40 },
    );
  });

  it('a field that is missing never yields anything that may be used', () => {
    const ofPanel = ['openCircuitV', 'shortCircuitA', 'maxPowerV', 'ratedW'] as const;
    const ofPort = ['maxV', 'minV', 'maxA', 'maxW'] as const;
    fc.assert(
      fc.property(
        anyPanel(),
        anyPort,
        anyWeather,
        fc.constantFrom(...ofPanel, ...ofPort, 'coldestC' as const),
        (panel, port, weather, missing) => {
          const without = <T extends Panel | Port | Weather>(of: T): T =>
            missing in of ? { ...of, [missing]: null } : of;
          for (const found of checkArrangements([without(panel)], without(port), without(weather))) {
            expect(['cannot say', 'do not connect']).toContain(found.verdict);
          }
        },
      ),
    );
  });

  it('strings in parallel are not judged without the rating of their series fuse', () => {
    fc.assert(
      fc.property(anyPanel(), anyPort, anyWeather, (panel, port, weather) => {
        for (const found of checkArrangements([{ ...panel, maxSeriesFuseA: null }], port, weather)) {
          if (found.parallel > 1) expect(['cannot say', 'do not connect']).toContain(found.verdict);
        }
      }),
    );
  });

  it('series adds volts, parallel adds amps, and both add watts', () => {
    fc.assert(
      fc.property(anyPanel(), anyPort, anyWeather, (panel, port, weather) => {
        const all = checkArrangements([panel], port, weather);
        const one = all.find(a => a.series === 1 && a.parallel === 1)!;
        for (const found of all) {
          expect(found.coldOpenCircuitV).toBeCloseTo(found.series * one.coldOpenCircuitV!, 6);
          expect(found.hotOperatingV).toBeCloseTo(found.series * one.hotOperatingV!, 6);
          expect(found.shortCircuitA).toBeCloseTo(found.parallel * one.shortCircuitA!, 6);
          expect(found.peakW).toBeCloseTo(found.series * found.parallel * one.peakW!, 6);
          expect(found.mismatchLostW).toBe(0);
        }
        expect(all).toHaveLength(
          Array.from({ length: panel.count }, (_, i) => Math.floor(panel.count / (i + 1))).reduce((s, n) => s + n),
        );
      }),
    );
  });
});

const tooHigh = ({ reasons }: Arrangement) => reasons.some(({ code }) => code === 'overVoltage');
const tooStrong = ({ reasons }: Arrangement) =>
  reasons.some(({ code }) => code === 'overCurrent' || code === 'overAmpsAllowed');
/** Beside each other, which strings meet depends on the kind that is named first. */
const alone = ({ strings }: Arrangement) => strings.every(string => string.join() === strings[0]!.join());
