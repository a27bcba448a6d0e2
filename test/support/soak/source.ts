/**
 * A station of the soak: a plant, the cable to it, and what it delivered while its readings could be joined, counted from
 * the plant's own ledger, beside everything the agent does.
 */
import * as v from 'valibot';
import type { AdapterManifest, OpenLink, Reading } from '#kit';
import { StationSettings } from '#messages';
import type { ChannelEvents, Runner } from '../../../agent/stations/index.ts';
import { describeShed, shedFacts, shedLoads, shedPlace } from '../../../simulators/honey-shed.ts';
import { createPlant, type StationFacts } from '../../../simulators/plant/station.ts';
import type { Place } from '../../../simulators/plant/sun.ts';
import { countsOf } from '../../../simulators/wire/counts.ts';
import { manifest } from '../station-stage.ts';

/** Of what was delivered and lies within recorded time. Wh, ms. */
export interface Delivered {
  solarWh: number;
  outputWh: number;
  coveredMs: number;
}

export interface SourceParts {
  id: string;
  seed: number;
  zone: string;
  startAt: number;
  readEveryMs: number;
  trueMs(): number;
}

/** Clearly more than its floor. */
const RISEN_PCT = 5;
const WATCHED_MS = 3_600_000;

/** The shed as it is in summer has too few panels for the dull end of a season: two strings of two, 360 W, carry it. */
function factsOf(place: Place): StationFacts {
  const facts = shedFacts(place);
  const { alongM } = facts.array.panels[2]!;
  const first = facts.array.panels.slice(0, 2);
  const second = first.map(panel => ({ ...panel, name: `${panel.name} too`, alongM: panel.alongM + 2 * alongM }));
  const strings = [first, second].map(panels => panels.map(({ name }) => name));
  return { ...facts, array: { panels: [...first, ...second], strings } };
}

export const soakManifest = (readEveryMs: number): AdapterManifest =>
  manifest({ intervalMs: readEveryMs, gives: ['solarPowerW', 'outputPowerW', 'solarEnergyWh', 'outputEnergyWh'] });

export type Source = ReturnType<typeof createSource>;

export function createSource({ id, seed, zone, startAt, readEveryMs, trueMs }: SourceParts) {
  const place = shedPlace(zone, Date.UTC(new Date(startAt).getUTCFullYear(), 6, 1));
  const facts = factsOf(place);
  const plant = createPlant({
    ...place,
    seed,
    zone,
    startMs: startAt,
    startPct: 60,
    // Only its running totals are asked for: its memory is not the agent's.
    ledgerDays: 3,
    facts,
    loads: shedLoads,
  });
  const described = describeShed(zone, place);
  const settings = v.parse(StationSettings, {
    ...described,
    panel: described.panel.map(panel => ({ ...panel, count: facts.array.panels.length })),
    id,
    name: id,
    adapter: 'lines',
    transport: { kind: 'tcp', host: `${id}.example`, port: 4000 },
  });
  const delivered: Delivered = { solarWh: 0, outputWh: 0, coveredMs: 0 };
  let wasLow = false;
  let readFromMs = Number.POSITIVE_INFINITY;
  let looseUntilMs = 0;
  let link: Parameters<OpenLink>[0] | null = null;
  let channel: ChannelEvents | null = null;
  /** Where the next stretch begins, if the next reading can be joined to it. */
  let from: { ms: number; solarWh: number; outputWh: number } | null = null;

  const mark = () => ({
    ms: trueMs(),
    solarWh: plant.ledger.totalOf('solarWh'),
    outputWh: plant.ledger.totalOf('outputWh'),
  });
  const openLink: OpenLink = events => {
    const isLoose = trueMs() < looseUntilMs;
    link = isLoose ? null : events;
    queueMicrotask(() => (isLoose ? events.closed('notFound', `${id} does not answer`) : events.opened()));
    return { pause: () => undefined, resume: () => undefined, close: async () => undefined };
  };

  return {
    settings,
    delivered,
    openLink,
    /** The adapter's side of the link that was opened last. */
    attach(events: ChannelEvents) {
      channel = events;
      readFromMs = trueMs();
      from = null;
      queueMicrotask(() => events.ready(soakManifest(readEveryMs)));
    },
    detach(events: ChannelEvents) {
      if (channel === events) channel = null;
    },
    /** Whether the agent is connected to it. */
    isRead: () => channel !== null,
    /** The plant goes on, whoever listens. */
    live: () => plant.step(trueMs(), readEveryMs),
    /** Nothing was read until now, and this moment begins what the next reading ends. */
    slept() {
      readFromMs = trueMs();
      if (from !== null) from = mark();
    },
    loosen(forMs: number) {
      looseUntilMs = trueMs() + forMs;
      const was = link;
      link = null;
      channel = null;
      from = null;
      was?.closed('unplugged', `${id} was lost`);
    },
    /** Whether it shows its floor for the first time since it showed clearly more, after an hour of readings. */
    reachesFloor() {
      const { reserveFloorPct } = settings;
      const pct = plant.gauges().shownPct;
      const low = pct <= reserveFloorPct || (wasLow && pct < reserveFloorPct + RISEN_PCT);
      const reached = low && !wasLow;
      wasLow = low;
      return reached && trueMs() - readFromMs >= WATCHED_MS;
    },
    /** One reading. */
    tell() {
      if (channel === null) return false;
      const { quantities, states } = plant.sample();
      const until = mark();
      if (from !== null) {
        delivered.solarWh += until.solarWh - from.solarWh;
        delivered.outputWh += until.outputWh - from.outputWh;
        delivered.coveredMs += until.ms - from.ms;
      }
      from = until;
      channel.reading({
        quantities: { ...quantities, ...countsOf(plant.ledger, 1) } as Reading['quantities'],
        states,
        quality: 'good',
        reasons: {},
      });
      return true;
    },
  };
}

/** Runs the adapters of all sources in this process. */
export const soakRunner = (sourceOf: (adapter: string) => Source): Runner => ({
  open(adapter, events) {
    const source = sourceOf(adapter);
    source.attach(events);
    return {
      send: () => true,
      close() {
        source.detach(events);
        queueMicrotask(() => events.closed());
      },
    };
  },
});
