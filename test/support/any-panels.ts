/** Panels, ports and weather for tests: the honey shed's, and any plausible ones. */
import fc from 'fast-check';
import { type Panel, type Port, panelOf, portOf, type Weather } from '#energy/wiring/index';

/** Three folding panels of 90 W. */
export const shedPanel: Panel = panelOf({
  name: 'the panel',
  count: 3,
  ratedW: 90,
  openCircuitV: 22.4,
  shortCircuitA: 5.1,
  maxPowerV: 18.6,
  maxPowerA: 4.84,
  openCircuitPctPerK: -0.31,
  powerPctPerK: -0.36,
  maxSeriesFuseA: 10,
  build: 'folding',
});

export const shedPort: Port = portOf({ name: 'the port', minV: 16, maxV: 82, maxA: 9, maxW: 400 });

export const shedWeather: Weather = { coldestC: -15, hottestC: 35 };

const between = (min: number, max: number) => fc.double({ min, max, noNaN: true });

/** Every field told. */
export const anyPanel = (most = 6): fc.Arbitrary<Panel> =>
  fc
    .record({
      openCircuitV: between(10, 60),
      fill: between(0.75, 0.88),
      shortCircuitA: between(1, 20),
      carried: between(0.85, 0.97),
      openCircuitPctPerK: between(-0.45, -0.2),
      powerPctPerK: between(-0.55, -0.25),
      maxSeriesFuseA: between(5, 30),
      tolerancePct: between(0, 10),
      count: fc.integer({ min: 1, max: most }),
    })
    .map(({ fill, carried, ...panel }) =>
      panelOf({
        ...panel,
        name: 'any panel',
        build: 'rigid',
        maxPowerV: panel.openCircuitV * fill,
        maxPowerA: panel.shortCircuitA * carried,
      }),
    );

/** Every field told, no lead. */
export const anyPort: fc.Arbitrary<Port> = fc
  .record({
    minV: between(5, 30),
    window: between(5, 150),
    maxA: between(3, 60),
    maxW: between(50, 2000),
    overCurrentAllowed: fc.boolean(),
  })
  .map(({ window, ...port }) => portOf({ ...port, name: 'any port', maxV: port.minV + window }));

export const anyWeather: fc.Arbitrary<Weather> = fc
  .record({ coldestC: between(-50, 20), warmer: between(0, 40) })
  .map(({ coldestC, warmer }) => ({ coldestC, hottestC: coldestC + warmer }));
