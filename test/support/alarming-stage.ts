/** The alarms of a watch on a clock moved by hand: what is heard is what a page would be told. */
import type {
  AlarmChange,
  LiveMessage,
  StationSettings,
  WireAlarm,
  WireProjection,
  WireReading,
  WireStatus,
} from '#messages';
import { type AlarmNews, createAlarming, LOOK_EVERY_MS } from '../../agent/commands/run/alarming.ts';
import { stationSettings } from './aim-stage.ts';
import { EVENING_AT, shedProjection, shedReading, shedStatus, ZONE } from './honey-shed.ts';

const MINUTE = 60_000;
const HEAR_EVERY_MS = 10_000;
const iso = (ms: number) => new Date(ms).toISOString();

/** @param before the last reading of an earlier run */
export function stageAlarming(
  over: Partial<StationSettings> = {},
  before: (stage: { now(): number }) => WireReading | null = () => null,
) {
  let nowAt = EVENING_AT;
  let monoMs = 0;
  let stations: StationSettings[] = [stationSettings(over)];
  let unsaved: string | null = null;
  let clock: 'synced' | 'stepped' | 'unknown' = 'synced';
  const told: WireAlarm[][] = [];
  const news: AlarmNews[] = [];
  let n = 0;
  const alarming = createAlarming({
    clock: { nowMs: () => nowAt, monoMs: () => monoMs },
    newId: () => `a${++n}`,
    firstCall: 0,
    lastOf: () => {
      const reading = before({ now: () => nowAt });
      return reading === null ? null : { type: 'reading', ageMs: nowAt - Date.parse(reading.at), reading };
    },
    stations: () => stations,
    zoneOf: () => ZONE,
    unsaved: () => unsaved,
    clockState: () => clock,
    publish: (message: LiveMessage) => void (message.type === 'alarms' && told.push(message.alarms as WireAlarm[])),
    onNews: one => void news.push(one),
  });
  let minute = 0;
  let status: Partial<WireStatus> = {};
  const hearStatus = () => alarming.hear({ type: 'status', status: shedStatus({ staleAfterMs: 30_000, ...status }) });
  const pass = (ms: number, wallMs = ms) => {
    monoMs += ms;
    nowAt += wallMs;
  };
  /** Time goes by; `hear` once in ten seconds, a look every two. */
  const go = (minutes: number, hear: () => void) => {
    for (let ms = 0; ms < minutes * MINUTE; ms += LOOK_EVERY_MS) {
      if (ms % HEAR_EVERY_MS === 0) hear();
      alarming.look();
      pass(LOOK_EVERY_MS);
    }
    minute += minutes;
  };
  const hearReading = (reading: Partial<WireReading>, ageMs = 0) =>
    alarming.hear({ type: 'reading', ageMs, reading: shedReading({ at: iso(nowAt - ageMs), ...reading }) });
  hearStatus();
  return {
    alarming,
    told,
    news,
    pass,
    go,
    now: () => nowAt,
    hearReading,
    hearProjection: (over: Partial<WireProjection>) =>
      alarming.hear({ type: 'projection', projection: shedProjection(over) }),
    say(next: {
      status?: Partial<WireStatus>;
      unsaved?: string | null;
      clock?: typeof clock;
      stations?: StationSettings[];
    }) {
      if (next.unsaved !== undefined) unsaved = next.unsaved;
      clock = next.clock ?? clock;
      stations = next.stations ?? stations;
      status = next.status ?? status;
      hearStatus();
    },
    /** Half a minute in which nothing is raised. */
    begin: () => go(0.5, () => undefined),
    /** Minutes go by with readings; what is promised at each, minutes ahead. */
    live(
      minutes: number,
      leftMin: (minute: number) => number | null,
      over: Partial<WireProjection> = {},
      reading: Partial<WireReading> = {},
    ) {
      const from = minute;
      const begun = nowAt;
      go(minutes, () => {
        if (over.why !== 'stale') hearReading(reading);
        const left = leftMin(from + (nowAt - begun) / MINUTE);
        const p10 = left === null ? null : iso(nowAt + left * MINUTE);
        const emptyAt = p10 === null ? null : { p10, p50: p10, p90: p10 };
        alarming.hear({ type: 'projection', projection: shedProjection({ emptyAt, ...over }) });
      });
    },
    /** Minutes of readings alone. */
    read(minutes: number, quantities: WireReading['quantities'], states: WireReading['states'] = {}) {
      go(minutes, () => hearReading({ quantities, states }));
    },
    list: () => alarming.list(),
    standing: () =>
      alarming
        .list()
        .filter(({ state }) => state === 'active' || state === 'acknowledged')
        .map(({ kind }) => kind),
    states: () => alarming.list().map(({ kind, state }) => `${kind} ${state}`),
    calls: () => news.flatMap(({ called }) => called),
    change: (change: AlarmChange) => alarming.change(change),
  };
}
export type AlarmingStage = ReturnType<typeof stageAlarming>;
