/**
 * A year of one-minute sun, plane and watts: the work behind every expected yield. Core time, not wall time, so that
 * whatever else the machine does counts little; the floor is the same number of bare sines in the same run.
 */
import { onPlane, panelPowerW, panelsOf } from '#energy/panel-power';
import { clearSkyOver } from '#energy/sky';
import { atMost, type Bench } from './figure.ts';
import { median, takeTurns } from './samples.ts';

const MINUTES = 525_600;
const ROUNDS = 5;
/** A sky and its watts ask for about this many sines, cosines and powers. */
const SINES = 30;

const coreMs = (work: () => number): number => {
  const before = process.cpuUsage();
  // The sum is looked at, so that nothing can be left out as useless.
  if (!Number.isFinite(work())) throw new Error('the year has no sum');
  const { user, system } = process.cpuUsage(before);
  return (user + system) / 1000;
};

function year(): number {
  const skyAt = clearSkyOver({ latitudeDeg: 46.05, longitudeDeg: 7.1, altitudeM: 900, turbidity: 3 });
  const plane = { tiltDeg: 35, azimuthDeg: 170 };
  const air = { tempC: 12, windMs: 2 };
  const panels = panelsOf(270);
  const start = Date.UTC(2026, 0, 1);
  let wh = 0;
  for (let minute = 0; minute < MINUTES; minute++)
    wh += panelPowerW(onPlane(skyAt(start + minute * 60_000), plane), air, panels) / 60;
  return wh;
}

function sines(): number {
  let sum = 0;
  for (let i = 0; i < MINUTES * SINES; i++) sum += Math.sin(i * 1e-4);
  return sum;
}

export const sky: Bench = {
  name: 'sky',
  title: 'A year of one-minute sun, plane and watts',
  async run() {
    const { ours, bare } = await takeTurns(ROUNDS, { ours: () => coreMs(year), bare: () => coreMs(sines) });
    return [
      {
        name: 'core time of 525,600 minutes',
        unit: 'ms',
        value: median(ours),
        floor: median(bare),
        floorIs: `${SINES} sines a minute`,
        goal: atMost(1000),
        samples: `median of ${ROUNDS}`,
      },
    ];
  },
};
