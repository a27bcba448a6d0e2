/**
 * A station of the soak: a plant, the cable to it, and what it delivered while its readings could be joined, counted from
 * the plant's own ledger, beside everything the agent does.
 */
import * as v from 'valibot';
import type { AdapterManifest, OpenLink, Reading } from '#kit';
import { StationSettings } from '#messages';
import type { ChannelEvents, Runner } from '../../../agent/stations/index.ts';
import { describeShed, shedFacts, shedLoads, shedPlace } from '../../../simulators/honey-shed.ts';
import { createPlant } from '../../../simulators/plant/station.ts';
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

export const soakManifest = (readEveryMs: number): AdapterManifest =>
  manifest({ intervalMs: readEveryMs, gives: ['solarPowerW', 'outputPowerW', 'solarEnergyWh', 'outputEnergyWh'] });

export type Source = ReturnType<typeof createSource>;

export function createSource({ id, seed, zone, startAt, readEveryMs, trueMs }: SourceParts) {
  const place = shedPlace(zone, Date.UTC(new Date(startAt).getUTCFullYear(), 6, 1));
  const plant = createPlant({
    ...place,
    seed,
    zone,
    startMs: startAt,
    startPct: 60,
    // Only its running totals are asked for: its memory is not the agent's.
    ledgerDays: 3,
    facts: shedFacts(place),
    loads: shedLoads,
  });
  const settings = v.parse(StationSettings, {
    ...describeShed(zone, place),
    id,
    name: id,
    adapter: 'lines',
    transport: { kind: 'tcp', host: `${id}.example`, port: 4000 },
  });
  const delivered: Delivered = { solarWh: 0, outputWh: 0, coveredMs: 0 };
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
