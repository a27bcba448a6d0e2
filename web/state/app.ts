/**
 * The page's stores and what ties them: connection, live values, the past, outages, the chosen station and light. The
 * one place where they are put together; views only read cells and call these actions.
 */
import type { TypedValues, WireStation } from '#messages';
import type { AgentApi, Answer, agentApi } from './api.ts';
import { type Cell, cell } from './cell.ts';
import { type Connection, type ConnectionControl, connectToAgent, type SocketLike } from './connection.ts';
import { LIGHTS, type Light, lightOf, nextLight, type SystemWish } from './light.ts';
import { agentNow, change, fold, type Live, NOTHING_YET } from './live.ts';
import { type Outage, outageFrom, outageToTell } from './outage.ts';
import type { PageClock } from './page-clock.ts';
import { keepPast, type Past } from './past.ts';
import type { Choices } from './storage.ts';

export interface AppParts {
  clock: PageClock;
  openSocket(): SocketLike;
  api: ReturnType<typeof agentApi>;
  choices: Choices;
  wish(): SystemWish;
  locale: string | undefined;
  zone: string;
}

export interface App {
  readonly clock: PageClock;
  readonly api: AgentApi;
  readonly locale: string | undefined;
  /** The browser's own zone. */
  readonly zone: string;
  readonly connection: Cell<Connection>;
  readonly live: Cell<Live>;
  readonly selected: Cell<string | null>;
  readonly light: Cell<Light>;
  /** The one that goes on, or the last one until the owner puts it away. */
  readonly outage: Cell<Outage | null>;
  /** What the owner is called for, oldest first, unread. */
  readonly alarms: Cell<readonly { kind?: unknown }[]>;
  /** Counts how often the agent said that something has become of trials. */
  readonly trials: Cell<number>;
  /** Counts seconds, so that ages and countdowns tick. */
  readonly tick: Cell<number>;
  readonly past: Past;
  /** The last that was told of spots and marks, unread; null before any. */
  readonly aim: Cell<{ station: string } | null>;
  start(): void;
  retry(): void;
  /** The page was away: ages are told anew at once, and what the line held back meanwhile is not taken as new. */
  returned(): void;
  /** Asks for it, of this station; undefined: no more. */
  wantAim(station: string | undefined): void;
  select(station: string): void;
  /** The outage that is over has been read. */
  putOutageAway(): void;
  /** The next light, kept; `system` gives the choice back to the system. */
  changeLight(to?: Light | 'system'): void;
  /** What the owner chose, or null where the system decides. */
  lightChosen(): Light | null;
  systemWishChanged(): void;
  typeValues(station: string, values: TypedValues): Promise<Answer<unknown>>;
  nameInputSource(station: string, source: WireStation['inputSource']): Promise<Answer<unknown>>;
}

const OUTAGE_LOOK_BACK_MS = 7 * 24 * 3_600_000;

const COMMIT_MS = 10_000;
const putAwayKey = (station: string): string => `outage.${station}`;

export function createApp(parts: AppParts): App {
  const { clock, api, choices } = parts;
  const connection = cell<Connection>({ phase: 'connecting' });
  const live = cell<Live>(NOTHING_YET);
  const selected = cell<string | null>(choices.read('station'));
  const light = cell<Light>(lightOf(choices.read('light'), parts.wish()));
  const outage = cell<Outage | null>(null);
  const alarms = cell<readonly { kind?: unknown }[]>([]);
  const trials = cell(0);
  const tick = cell(0);
  const past = keepPast(api);
  const aim = cell<{ station: string } | null>(null);

  const station = () =>
    live.value.stations.find(s => s.station.id === selected.value) ?? live.value.stations[0] ?? null;
  const nowAt = () => agentNow(live.value, clock.nowMs());

  async function loadStation(): Promise<void> {
    const id = station()?.station.id;
    const now = nowAt();
    if (id === undefined || now === null) return;
    await Promise.all([past.load(id, now), loadOutage(id, now)]);
  }

  async function loadOutage(id: string, now: number): Promise<void> {
    const answer = await api.outages(id, now - OUTAGE_LOOK_BACK_MS, now);
    if (!answer.ok || station()?.station.id !== id) return;
    outage.set(outageToTell(answer.value.outages.map(outageFrom), choices.read(putAwayKey(id))));
  }

  let control: ConnectionControl | null = null;
  const connect = () =>
    connectToAgent({
      clock,
      openSocket: parts.openSocket,
      onState: state => connection.set(state),
      onUnreadable: () => live.set({ ...live.value, unreadable: live.value.unreadable + 1 }),
      onMessage(message) {
        const onMains = station()?.reading?.wire.states.onMains;
        live.set(fold(live.value, message, clock.nowMs()));
        if (message.type === 'hello') void loadStation();
        if (message.type === 'alarms') alarms.set(message.alarms);
        if (message.type === 'trials') trials.set(trials.value + 1);
        if (message.type === 'aim') aim.set(message.aim);
        if (message.type !== 'reading') return;
        past.add(message.reading.station, Date.parse(message.reading.at), message.reading.quantities);
        const current = station();
        const now = nowAt();
        if (current !== null && now !== null && current.reading?.wire.states.onMains !== onMains) {
          void loadOutage(current.station.id, now);
          // What the agent has just seen stands in the record after its next commit.
          const committedMs = (live.value.health?.saved.commitIntervalMs ?? COMMIT_MS) + 1000;
          clock.after(committedMs, () => void loadOutage(current.station.id, now + committedMs));
        }
      },
    });

  const beat = () => {
    tick.set(tick.value + 1);
    clock.after(1000, beat);
  };

  return {
    clock,
    api,
    locale: parts.locale,
    zone: parts.zone,
    connection,
    live,
    selected,
    light,
    outage,
    alarms,
    trials,
    tick,
    past,
    aim,
    start() {
      control = connect();
      control.start();
      clock.after(1000, beat);
    },
    retry: () => control?.retryNow(),
    returned() {
      tick.set(tick.value + 1);
      control?.retryNow();
    },
    wantAim: id => control?.wantAim(id),
    select(id) {
      selected.set(id);
      choices.keep('station', id);
      outage.set(null);
      void loadStation();
    },
    putOutageAway() {
      const id = station()?.station.id;
      if (id === undefined || outage.value === null) return;
      choices.keep(putAwayKey(id), String(outage.value.startedAt));
      outage.set(null);
    },
    changeLight(to = nextLight(light.value)) {
      choices.keep('light', to === 'system' ? null : to);
      light.set(lightOf(choices.read('light'), parts.wish()));
    },
    lightChosen: () => LIGHTS.find(known => known === choices.read('light')) ?? null,
    systemWishChanged: () => light.set(lightOf(choices.read('light'), parts.wish())),
    typeValues: (id, values) => api.typeValues(id, values),
    async nameInputSource(id, inputSource) {
      const answer = await api.nameInputSource(id, { inputSource });
      const known = live.value.stations.find(s => s.station.id === id);
      if (answer.ok && known !== undefined) {
        live.set(change(live.value, id, { station: { ...known.station, inputSource } }));
      }
      return answer;
    },
  };
}
