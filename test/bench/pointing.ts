/**
 * A minute's refresh of where to point and why so few watts, at the hours that leave most of a day. Core time, so that
 * whatever else the machine does counts little.
 */
import type { PointingAsked } from '#energy/estimates/pointing/asked';
import { pointing } from '#energy/estimates/pointing/pointing';
import { whySoFew } from '#energy/estimates/pointing/why-so-few';
import { atMost, type Bench, type Figure } from './figure.ts';
import { median } from './samples.ts';

const DAY_MS = 86_400_000;
const ROUNDS = 40;
const WIRED = {
  count: 6,
  ratedW: 540,
  maxPowerV: 18.6,
  openCircuitV: 22.4,
  maxPowerA: 4.84,
  powerPerK: -0.004,
  openCircuitPerK: -0.0031,
  port: { minV: 12, maxV: 160, maxA: 30, maxW: 300 },
  lead: { lengthM: 3, conductorMm2: 4 },
  ceilingPct: 100,
  idleW: 12,
};

function refresh(name: string, latitudeDeg: number, portMaxW: number | null): Figure {
  const startMs = Date.UTC(2026, 5, 21);
  const asked: PointingAsked = {
    atMs: startMs + 5 * 3_600_000,
    place: { latitudeDeg, longitudeDeg: 7.1, altitudeM: 900, turbidity: 3 },
    turbidityTold: false,
    panels: [{ ratedW: WIRED.ratedW, powerPerK: WIRED.powerPerK, plane: { tiltDeg: 30, azimuthDeg: 120 } }],
    air: { tempC: 20, windMs: null },
    airTold: false,
    day: { startMs, endMs: startMs + DAY_MS },
    portMaxW,
  };
  const observed = {
    gotW: 20,
    outputW: 40,
    stateOfChargePct: 60,
    batteryTempC: 20,
    solarVoltageV: 50,
    solarCurrentA: 0.4,
    limitedBy: null,
    airTempC: null,
    planeOfArrayWm2: null,
    sky: 'steady',
  } as const;
  const times = Array.from({ length: ROUNDS }, () => {
    const before = process.cpuUsage();
    whySoFew(observed, pointing(asked).expected, WIRED);
    const { user, system } = process.cpuUsage(before);
    return (user + system) / 1000;
  });
  return { name, unit: 'ms', value: median(times), goal: atMost(20), samples: `median of ${ROUNDS}` };
}

export const point: Bench = {
  name: 'pointing',
  title: 'Where to point, and why so few watts',
  run: async () => [
    refresh('a June morning', 46, null),
    refresh('a June morning, the port takes less', 46, 300),
    refresh('under the midnight sun, the port takes less', 69.6, 300),
  ],
};
