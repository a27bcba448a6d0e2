/** What the server needs from whoever starts it. Instants are epoch ms unless the name says mono. */
import type {
  AdaptersAnswer,
  AimAnswer,
  AlarmChange,
  FactChange,
  FactChanged,
  FactsAnswer,
  HereLinkAnswer,
  InputSourceChoice,
  InvitationAnswer,
  JudgingAnswer,
  LedgerDayAnswer,
  LiveMessage,
  LoadsChoice,
  MarkAnswer,
  MarkChange,
  MarkChoice,
  NoteChange,
  OutlastAnswer,
  OwnAdapterApproval,
  OwnAdaptersAnswer,
  PairAnswer,
  PairAsked,
  PlanAnswer,
  PlanSettings,
  RecordQueries,
  ScanAnswer,
  Scope,
  SerialPortsAnswer,
  SeriesRequest,
  Settings,
  SharingAnswer,
  SharingChoice,
  SpanChange,
  SpansAnswer,
  SpotChange,
  StationSettings,
  TokenAnswer,
  TokenAsked,
  TrialAnswer,
  TrialChange,
  TrialStart,
  TrialsAnswer,
  TypedValues,
  WireAlarm,
  WireHealth,
} from '#messages';

export type Cancel = () => void;

export interface ServerClock {
  /** UTC epoch ms. */
  now(): number;
  /** Monotonic ms. */
  monoMs(): number;
  after(delayMs: number, act: () => void): Cancel;
  every(periodMs: number, act: () => void): Cancel;
}

export interface ServerLog {
  error(area: string, message: string, fields?: Readonly<Record<string, unknown>>): void;
  warn(area: string, message: string, fields?: Readonly<Record<string, unknown>>): void;
}

export interface SettingsDoor {
  /** What the file says now. `revision` changes with every byte of the file. */
  get(): Promise<SettingsState> | SettingsState;
  /**
   * Writes and applies. Without `alarm` that part stays as it is: not every page is told of it. Throws SETTINGS_CHANGED
   * where the file is no longer at `revision` (absent: any).
   */
  put(settings: Settings, revision: string | undefined): Promise<SettingsState> | SettingsState;
}
export interface SettingsState {
  readonly settings: Settings;
  readonly revision: string;
}

/** How a request came: from this machine, or over a network. */
export type Way = 'loopback' | 'network';

/** The sessions, as far as the server asks for them. */
export interface SessionBook {
  /** Of this agent alone: another on the same machine has another. */
  readonly cookieName: string;
  /** Whose secret it is and what they may by this way; null where it is nobody's. */
  find(secret: string, from: { way: Way; address: string }): { id: string; name: string; scope: Scope } | null;
  /** What a session may now; null once it is over. */
  scopeOf(id: string, way: Way): Scope | null;
  /** Tells which session was ended by the owner. */
  onEnded(listener: (id: string) => void): void;
}

/** What the owner decides about sharing, and what one who wants in may ask. Each throws WattkeepError. */
export interface SharingDoor {
  state(): SharingAnswer;
  choose(choice: SharingChoice): Promise<void>;
  invite(): Promise<InvitationAnswer>;
  linkHere(): HereLinkAnswer;
  /** Throws REQUEST_INVALID where nobody of that id waits. */
  decide(request: string, scope: Scope | null): void;
  unlock(): void;
  createToken(asked: TokenAsked): TokenAnswer;
  revoke(session: string): void;
  /** `token`: of the session that was just made. */
  pair(asked: PairAsked, from: { way: Way; address: string }): { answer: PairAnswer; token: string | null };
}

/** What the owner can do from the page. Each throws WattkeepError where it cannot be done. */
export interface ServerActions {
  typed(station: string, values: TypedValues): void | Promise<void>;
  inputSource(station: string, choice: InputSourceChoice['inputSource']): void | Promise<void>;
  /** The names and marks of what is plugged in, as a whole. */
  loads(station: string, load: LoadsChoice['load']): void | Promise<void>;
  /** What is to run, as a whole. */
  plan(station: string, plan: PlanSettings): void | Promise<void>;
  /** Try the link again now, and take up a station that was let go. */
  retry(station: string): void | Promise<void>;
  /** Let the station go for ten minutes. */
  release(station: string): void | Promise<void>;
  /** Let the station go until `retry`. */
  putAway(station: string): void | Promise<void>;
  /** When to top up a station that is put away, as an iCalendar file. */
  putAwayCalendar(station: string): string;
  /** The station really tells other units now. */
  confirmUnits(station: string): void | Promise<void>;
  serialPorts(): Promise<SerialPortsAnswer['ports']>;
  adapters(): AdaptersAnswer['adapters'];
  /** Listens for Bluetooth LE peripherals. */
  scan(forMs: number): Promise<ScanAnswer>;
  /** Adapters in the owner's own folder. */
  ownAdapters(): OwnAdaptersAnswer;
  /** Throws REQUEST_REFUSED where the file is no longer the one that was shown. */
  approveAdapter(shown: OwnAdapterApproval): void | Promise<void>;
}

/** Marks, spots and where to point. Each throws WattkeepError: STATION_UNKNOWN, REQUEST_INVALID, or what the disk says. */
export interface AimDoor {
  /** What a page that begins to look at the aiming of a station is told; null where there is no such station. */
  current(station: string): LiveMessage | null;
  answer(station: string): Promise<AimAnswer>;
  /** Saved once it returns. */
  mark(station: string, choice: MarkChoice): MarkAnswer;
  changeMarks(station: string, change: MarkChange): void;
  changeSpots(station: string, change: SpotChange): void;
}

/** One day, and what the owner tells of days; saved once it resolves. Each throws WattkeepError as above. */
export interface DayDoor {
  /** @param date civil, `YYYY-MM-DD` */
  day(station: string, date: string): Promise<LedgerDayAnswer>;
  /** Spans that touch a stretch of time, epoch ms. */
  spans(station: string, fromMs: number, toMs: number): Promise<SpansAnswer>;
  changeNote(station: string, change: NoteChange): Promise<void>;
  changeSpan(station: string, change: SpanChange): Promise<void>;
  facts(station: string): Promise<FactsAnswer>;
  /** Says what it changes, or would. */
  moveFact(station: string, change: FactChange): Promise<FactChanged>;
}

/** Curves that are drawn; what a clear sky would give stands beside the watts. */
export const TRIAL_AXES = ['percentByHour', 'wattsByHour', 'wattsByPercent', 'efficiencyByLoad'] as const;
export type TrialAxis = (typeof TRIAL_AXES)[number];

/** Trials and what is made of them; saved once it resolves. Each throws WattkeepError as above, or as `ReadingDoor`. */
export interface TrialsDoor {
  /** @param station null: of all */
  list(station: string | null): Promise<TrialsAnswer>;
  one(id: string): Promise<TrialAnswer>;
  start(start: TrialStart): Promise<TrialAnswer>;
  change(id: string, change: TrialChange): Promise<TrialAnswer>;
  /** JSON of a ComparisonAnswer. */
  compare(ids: readonly string[]): AsyncIterator<Uint8Array>;
  /** JSON of a FirstWeekAnswer, a YearsAnswer. */
  firstWeek(station: string): AsyncIterator<Uint8Array>;
  years(station: string): AsyncIterator<Uint8Array>;
  /** A page of HTML. Place and hours of the clock stand in it where they are chosen. */
  report(
    ids: readonly string[],
    show: { readonly large: boolean; readonly place: boolean; readonly clock: boolean },
  ): AsyncIterator<Uint8Array>;
  /** A curve of trials on one axis, as SVG. */
  chart(ids: readonly string[], axis: TrialAxis): AsyncIterator<Uint8Array>;
  /** The readings of a trial as CSV. */
  samples(id: string): Promise<AsyncIterator<Uint8Array>>;
}

/** What calls the owner. */
export interface AlarmDoor {
  list(): WireAlarm[];
  /** @param station whose alarm it has to be; undefined: any. Throws WattkeepError REQUEST_INVALID. */
  change(change: AlarmChange, station?: string): void;
}

/** An answer that is made when its first piece is asked for. */
export interface TaggedAnswer {
  readonly body: AsyncIterator<Uint8Array>;
  /** The same as long as the answer is; null where that is not known. */
  readonly tag: string | null;
}

/** What may take long is read by a process of its own. Each piece may throw WattkeepError READING_BUSY or READING_ENDED. */
export interface ReadingDoor {
  /** JSON of a SeriesAnswer: what is too much to be worked out between two readings. */
  series(request: SeriesRequest): AsyncIterator<Uint8Array>;
  /** JSON of a LedgerAnswer: days in the zone of now; dates `YYYY-MM-DD`, both included. */
  ledger(station: string, zone: string, fromDate: string, toDate: string): TaggedAnswer;
  /** The same days as CSV, with what the owner noted of them. */
  daysCsv(station: string, zone: string, fromDate: string, toDate: string): AsyncIterator<Uint8Array>;
  /** JSON of a RecordingSize, for such a file. */
  recordingSize(station: string, fromMs: number, toMs: number, zone: string): AsyncIterator<Uint8Array>;
  /** The readings of a station as a file; instants epoch ms, times written in the zone. */
  recording(
    station: string,
    format: 'csv' | 'parquet',
    fromMs: number,
    toMs: number,
    zone: string,
  ): AsyncIterator<Uint8Array>;
  /** Civil date of an instant, for the name of such a file. */
  dateOf(atMs: number, zone: string): string;
}

/** What is asked of Outlast. Instants epoch ms; what is left out is as usual. */
export interface OutlastAsked {
  readonly untilAt: number;
  readonly floorPct?: number | undefined;
  /** One a day from today on; null where it is left open. */
  readonly skies: readonly ('good' | 'middling' | 'poor' | null)[];
  /** Watts of what could be added. */
  readonly sourceW: Readonly<Record<'generator' | 'vehicle' | 'wall', number | null>>;
  /** Id of another station, taken as one reserve with this one. */
  readonly with?: string | undefined;
}

export type HelloContents = Pick<Extract<LiveMessage, { type: 'hello' }>, 'version' | 'demo' | 'display'>;

export interface ServerDeps {
  /** A loopback address, or all of them: `0.0.0.0`, `::`. */
  readonly host: string;
  /** 0: any free one. */
  readonly port: number;
  /** Folder of the built page and its manifest.json. */
  readonly siteDir: string;
  readonly queries: RecordQueries;
  hello(): HelloContents;
  /** The newest reading, status, projection and day of one station: what a new client needs at once. */
  current(station: string): readonly LiveMessage[];
  /** What one station was told of itself, the simulated one too, which stands in no file. */
  stationSettings(station: string): StationSettings;
  /** Whether a station lasts until then, and what would help. Throws WattkeepError STATION_UNKNOWN. */
  outlast(station: string, asked: OutlastAsked): Promise<OutlastAnswer>;
  /** What Plan rests on. Throws WattkeepError STATION_UNKNOWN, READING_BUSY or READING_ENDED. */
  plan(station: string): Promise<PlanAnswer>;
  /** How right earlier answers were on a station's own record. Throws WattkeepError STATION_UNKNOWN. */
  readonly judging: {
    /** Goes through it once more, beside all else. */
    begin(station: string): void;
    of(station: string): JudgingAnswer;
  };
  readonly aim: AimDoor;
  readonly days: DayDoor;
  readonly trials: TrialsDoor;
  readonly alarms: AlarmDoor;
  readonly reading: ReadingDoor;
  health(): WireHealth;
  readonly settings: SettingsDoor;
  readonly sessions: SessionBook;
  readonly sharing: SharingDoor;
  readonly actions: ServerActions;
  readonly log: ServerLog;
  readonly clock: ServerClock;
  /** A page told its own time (epoch ms): it may correct a machine that woke without one. */
  onClientClock(epochMs: number): void;
  /** A short id that ties an INTERNAL answer to its line in the log. */
  newId(): string;
  /** Other ceilings than LIMITS, for tests. */
  readonly limits?: Partial<ServerLimits>;
}

export interface ServerLimits {
  readonly headerBytes: number;
  readonly bodyBytes: number;
  readonly headersTimeoutMs: number;
  readonly requestTimeoutMs: number;
  /** How often the two timeouts are looked at. */
  readonly checkEveryMs: number;
  readonly connections: number;
  /** Connections over a network that have not shown a session yet. */
  readonly strangers: number;
  readonly liveClients: number;
  /** …of one session. */
  readonly liveClientsOfOne: number;
  /** Messages of one live client in a minute, beyond acknowledgements of something new. */
  readonly messagesPerMinute: number;
  /** Bytes waiting for one live client… */
  readonly bufferedBytes: number;
  /** …for this long, then it is let go. */
  readonly bufferedForMs: number;
  /** A live client that has not subscribed by then is let go. */
  readonly subscribeWithinMs: number;
  /** Time that live clients get to answer the closing handshake. */
  readonly closeWithinMs: number;
  /** Who takes nothing of a long answer for so long is let go. */
  readonly stalledMs: number;
}

export const LIMITS: ServerLimits = {
  headerBytes: 8_192,
  bodyBytes: 65_536,
  headersTimeoutMs: 10_000,
  requestTimeoutMs: 30_000,
  checkEveryMs: 1_000,
  connections: 200,
  strangers: 5,
  liveClients: 50,
  liveClientsOfOne: 8,
  messagesPerMinute: 100,
  bufferedBytes: 1_048_576,
  bufferedForMs: 10_000,
  subscribeWithinMs: 10_000,
  closeWithinMs: 250,
  stalledMs: 60_000,
};
