/**
 * One full refresh of how long it lasts: 300 courses of 48 hours in minutes, after eight days of record, with and without
 * a sun to expect, a reading and ten seconds apart. Core time, so that whatever else the machine does counts little.
 */
import { createRuntimeEngine, type RuntimeFacts } from '#energy/estimates/runtime/engine';
import { clearSkyOver } from '#energy/sky';
import { atMost, type Bench, type Figure } from './figure.ts';
import { median } from './samples.ts';

const BORN_MS = Date.UTC(2026, 5, 1);
const MINUTE_MS = 60_000;
const DAYS = 8;
const ROUNDS = 30;
const APART_MS = 10_000;
const PLACE = { latitudeDeg: 46.05, longitudeDeg: 7.1, altitudeM: 900, turbidity: 3 };
const FACTS: RuntimeFacts = {
  ratedWh: 1640,
  floorPct: 15,
  ceilingPct: 100,
  lowCutoffPct: 4,
  panelsRatedW: 270,
  solarMaxW: 400,
  clearWm2: null,
};

const pctAt = (minute: number) => 90 - (Math.floor(minute / 40) % 60);

/** A fridge and a router under a bright sky, a percent down every forty minutes. */
function livedEngine(clearWm2: (atMs: number) => number) {
  const engine = createRuntimeEngine(FACTS.ratedWh);
  for (let minute = 0; minute < DAYS * 1440; minute++) {
    const at = BORN_MS + minute * MINUTE_MS;
    const solarW = 0.2 * clearWm2(at);
    const outputW = minute % 50 < 15 ? 95 : 9;
    engine.add({ at, outputW, inputW: solarW, solarW, stateOfChargePct: pctAt(minute) });
  }
  return engine;
}

function refresh(name: string, clearWm2: RuntimeFacts['clearWm2'], engine: ReturnType<typeof livedEngine>): Figure {
  const times = Array.from({ length: ROUNDS }, (_, i) => {
    const at = BORN_MS + DAYS * 1440 * MINUTE_MS + i * APART_MS;
    engine.add({ at, outputW: 9, inputW: 0, solarW: 0, stateOfChargePct: pctAt(DAYS * 1440 - 1) });
    const before = process.cpuUsage();
    engine.project(at, { ...FACTS, clearWm2 }, { seed: i + 1 });
    const { user, system } = process.cpuUsage(before);
    return (user + system) / 1000;
  });
  return { name, unit: 'ms', value: median(times), goal: atMost(25), samples: `median of ${ROUNDS}` };
}

export const projection: Bench = {
  name: 'projection',
  title: 'A full refresh of how long it lasts',
  async run() {
    const sky = clearSkyOver(PLACE);
    const clearWm2 = (atMs: number) => sky(atMs).ghiWm2;
    return [
      refresh('load alone', null, livedEngine(clearWm2)),
      refresh('load and sun', clearWm2, livedEngine(clearWm2)),
    ];
  },
};
