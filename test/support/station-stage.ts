/** A supervisor on a hand-moved clock, with links and an adapter that do what the scenario says. */
import type { AdapterManifest, DecodedReading, LinkEvents, OpenLink, QuantityName } from '#kit';
import type { ChannelEvents, Runner, StationPlan, StationReading, StationStatus } from '../../agent/stations/index.ts';
import { createSupervisor } from '../../agent/stations/index.ts';
import { handClock } from './hand-clock.ts';

export interface StagedLink {
  readonly events: LinkEvents;
  paused: boolean;
  closed: boolean;
}

export interface StagedChannel {
  readonly adapter: string;
  readonly alone: boolean;
  readonly events: ChannelEvents;
  readonly sent: Uint8Array[];
  /** What the next sends answer. */
  room: boolean;
  closed: boolean;
}

export const manifest = (change: Partial<AdapterManifest> = {}): AdapterManifest => ({
  id: 'lines',
  title: 'lines',
  version: '1',
  apiVersion: 1,
  transports: ['serial'],
  gives: ['inputPowerW'] satisfies QuantityName[],
  intervalMs: 1000,
  maxFrameBytes: 100,
  maxReadingsPerS: 50,
  ...change,
});

export const aReading = (inputPowerW = 100): DecodedReading => ({
  quantities: { inputPowerW },
  states: {},
  quality: 'good',
  reasons: {},
});

/** Lets everything that waits for a promise happen. */
export const settle = (): Promise<void> => new Promise(resolve => setImmediate(resolve));

export function stationStage() {
  const clock = handClock();
  const links: StagedLink[] = [];
  const channels: StagedChannel[] = [];
  const readings: StationReading[] = [];
  const statuses: StationStatus[] = [];
  let sessions = 0;

  const runner: Runner = {
    open(adapter, events, alone) {
      const channel: StagedChannel = { adapter, alone, events, sent: [], room: true, closed: false };
      channels.push(channel);
      return {
        send(chunk) {
          channel.sent.push(chunk);
          return channel.room;
        },
        close() {
          channel.closed = true;
          queueMicrotask(() => events.closed());
        },
      };
    },
  };
  const openLink: OpenLink = events => {
    const link: StagedLink = { events, paused: false, closed: false };
    links.push(link);
    return {
      pause: () => {
        link.paused = true;
      },
      resume: () => {
        link.paused = false;
      },
      close: async () => {
        link.closed = true;
      },
    };
  };
  const supervisor = createSupervisor({
    clock,
    timers: clock,
    random: () => 0.5,
    newSessionId: () => `session ${++sessions}`,
    runner,
    onReading: reading => readings.push(reading),
    onStatus: status => statuses.push(status),
  });
  const plan = (id: string, key = id): StationPlan => ({
    kind: 'linked',
    id,
    adapter: 'lines',
    openLink,
    link: `/dev/${id}`,
    key,
  });
  return {
    clock,
    links,
    channels,
    readings,
    statuses,
    supervisor,
    plan,
    status: (id = 'shed') => supervisor.statuses().find(s => s.station === id),
    /** Plans one station and brings it to its first reading. */
    async live(id = 'shed'): Promise<{ link: StagedLink; channel: StagedChannel }> {
      supervisor.set([plan(id)]);
      await settle();
      const link = links.at(-1)!;
      link.events.opened();
      const channel = channels.at(-1)!;
      channel.events.ready(manifest());
      channel.events.reading(aReading());
      return { link, channel };
    },
    /** Moves the clock and lets what follows happen. */
    async advance(ms: number): Promise<void> {
      clock.advance(ms);
      await settle();
    },
  };
}
