/**
 * Stands in for the agent in tests of the page: serves the built page by its manifest with the real policy, answers
 * the API from given data and speaks /live. What it says is pushed by the test; it invents nothing.
 */
import { readFile } from 'node:fs/promises';
import { createServer, type IncomingMessage, type Server, type ServerResponse } from 'node:http';
import type { AddressInfo } from 'node:net';
import { join } from 'node:path';
import { type WebSocket, WebSocketServer } from 'ws';
import type {
  AimAnswer,
  ComparisonAnswer,
  FactChanged,
  FactsAnswer,
  FirstWeekAnswer,
  JudgingAnswer,
  LedgerAnswer,
  LedgerDayAnswer,
  LiveMessage,
  MarkAnswer,
  OutagesAnswer,
  OutlastAnswer,
  OwnAdaptersAnswer,
  PlanAnswer,
  ScanAnswer,
  Scope,
  SeriesAnswer,
  Settings,
  SharingAnswer,
  StationSettings,
  TrialsAnswer,
  WireStation,
  YearsAnswer,
} from '#messages';
import { PROTOCOL_VERSION } from '#messages';
import { inLight, lightAsked } from '../../agent/server/light.ts';
import { qrRows } from '../../agent/sharing/index.ts';
import { trialsReply } from './fake-trials.ts';
import { EVENING_AT, ZONE } from './honey-shed.ts';
import { bareDay } from './ledger-days.ts';
import { nothingToSay } from './outlasts.ts';
import { shedPlan } from './plans.ts';
import { comparison, firstWeekOf, trialsAnswer, yearsOf } from './trials.ts';

export interface FakeData {
  stations: WireStation[];
  /** Sent to each client after the hello. */
  messages: LiveMessage[];
  nowAt: number;
  demo: boolean;
  protocol: number;
  /** What the page's session may. */
  scope: Scope;
  display: { temperature: 'C' | 'F'; clock: '24' | '12' | 'system' };
  heartbeatMs: number;
  series(station: string, fromMs: number, toMs: number): SeriesAnswer;
  /** Answers what the Ledger asks of dates, both included. */
  ledger(station: string, from: string, to: string): LedgerAnswer;
  outages: OutagesAnswer['outages'];
  /** Answers what a day's page asks. */
  day(station: string, date: string): LedgerDayAnswer;
  facts: FactsAnswer['facts'];
  spans: LedgerDayAnswer['spans'];
  /** Answers a note, a span or a moved fact: null takes it. */
  refuseTold(what: string, change: unknown): { code: string; message: string; fix: string; path?: string } | null;
  /** What moving a fact would change. */
  moved: FactChanged;
  /** Answers what Outlast asks. */
  outlast(station: string, asked: URLSearchParams): OutlastAnswer;
  /** Answers what Plan asks. */
  plan(station: string): PlanAnswer;
  /** Answers what Judge me asks; `begin` where it is told to begin. */
  judging(begin: boolean): JudgingAnswer;
  /** What Trials asks; a change of a trial changes it here. */
  trials: TrialsAnswer;
  compare(ids: readonly string[]): ComparisonAnswer;
  firstWeek: FirstWeekAnswer;
  years: YearsAnswer;
  settings: Settings;
  /** What a station that stands in no file, the simulated one, was told of itself. */
  told: StationSettings | null;
  /** Answers a change of settings: null takes it. */
  refuse(settings: Settings): { code: string; message: string; fix: string; path?: string } | null;
  ports: { path: string; label: string }[];
  own: OwnAdaptersAnswer;
  sharing: SharingAnswer;
  /** Answers a change that the session does not allow. */
  turnAway: { status: number; code: string; message: string; fix: string } | null;
  /** What a search for Bluetooth stations hears. */
  scan: ScanAnswer;
  aim: AimAnswer;
  /** Answers a mark. */
  mark(choice: unknown): MarkAnswer;
  /** Answers a change of marks or spots: null takes it. */
  refuseAim(change: unknown): { code: string; message: string; fix: string } | null;
}

export interface FakeAgent {
  readonly address: string;
  readonly data: FakeData;
  /** What clients said and asked, oldest first. */
  readonly heard: unknown[];
  readonly asked: { method: string; path: string; body: unknown; header: string | undefined }[];
  push(message: LiveMessage): void;
  /** Answers no more, as a stopped agent; the port stays known. */
  stop(): Promise<void>;
  start(): Promise<void>;
}

interface Manifest {
  files: Record<string, { file: string; type: string; br?: string; within?: boolean }>;
  csp: { styleHashes: string[]; scriptHashes: string[] };
}

/** Starts one on a free port of 127.0.0.1. @param siteDir folder of the built page */
export async function fakeAgent(siteDir: string, data: FakeData): Promise<FakeAgent> {
  const manifest = JSON.parse(await readFile(join(siteDir, 'manifest.json'), 'utf8')) as Manifest;
  const hashes = (list: string[]) => list.map(hash => ` '${hash}'`).join('');
  const policy = `default-src 'none'; script-src 'self'${hashes(manifest.csp.scriptHashes)}; style-src 'self'${hashes(manifest.csp.styleHashes)}; font-src 'self'; img-src 'self' data:; connect-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'`;
  const heard: unknown[] = [];
  const asked: FakeAgent['asked'] = [];
  let server: Server | null = null;
  let sockets: WebSocketServer | null = null;
  let port = 0;
  const numbers = new Map<WebSocket, number>();

  const send = (socket: WebSocket, message: object) => {
    const n = (numbers.get(socket) ?? 0) + 1;
    numbers.set(socket, n);
    socket.send(JSON.stringify({ ...message, n }));
  };

  async function answer(request: IncomingMessage, response: ServerResponse): Promise<void> {
    const url = new URL(request.url ?? '/', `http://${request.headers.host}`);
    response.setHeader('Content-Security-Policy', policy);
    if (url.pathname.startsWith('/api/')) {
      const body = await bodyOf(request);
      asked.push({
        method: request.method!,
        path: url.pathname,
        body,
        header: request.headers['x-wattkeep'] as string | undefined,
      });
      const { status, value, type = 'application/json' } = api(data, request.method!, url, body);
      response.writeHead(status, { 'Content-Type': type, ETag: '"r1"' });
      response.end(type === 'application/json' ? JSON.stringify(value) : value);
      return;
    }
    const above = manifest.files[url.pathname.replace(/\/[a-z0-9-]+$/, '')];
    const entry = manifest.files[url.pathname] ?? (above?.within === true ? above : undefined);
    if (entry === undefined) {
      response.writeHead(404).end();
      return;
    }
    const light = lightAsked(request.headers.cookie);
    if (light !== null && entry.type.startsWith('text/html')) {
      response.writeHead(200, { 'Content-Type': entry.type });
      response.end(inLight(await readFile(join(siteDir, entry.file)), light).plain);
      return;
    }
    const packed = entry.br !== undefined && (request.headers['accept-encoding'] ?? '').includes('br');
    if (packed) response.setHeader('Content-Encoding', 'br');
    response.writeHead(200, { 'Content-Type': entry.type });
    response.end(await readFile(join(siteDir, packed ? entry.br! : entry.file)));
  }

  const agent: FakeAgent = {
    get address() {
      return `http://127.0.0.1:${port}`;
    },
    data,
    heard,
    asked,
    push(message) {
      for (const socket of sockets?.clients ?? []) send(socket, message);
    },
    async start() {
      server = createServer((request, response) => void answer(request, response));
      sockets = new WebSocketServer({ server, path: '/live' });
      sockets.on('connection', socket => {
        socket.on('message', text => heard.push(JSON.parse(String(text))));
        const { stations, demo, display, heartbeatMs, protocol, scope } = data;
        const now = new Date(data.nowAt).toISOString();
        send(socket, {
          type: 'hello',
          protocol,
          version: '0.1.0',
          demo,
          now,
          heartbeatMs,
          ackWindow: 10,
          display,
          stations,
          scope,
        });
        for (const message of data.messages) send(socket, message);
      });
      await new Promise<void>(done => server!.listen(port, '127.0.0.1', done));
      port = (server.address() as AddressInfo).port;
    },
    async stop() {
      for (const socket of sockets?.clients ?? []) socket.terminate();
      sockets?.close();
      server?.closeAllConnections();
      await new Promise<void>(done => (server === null ? done() : server.close(() => done())));
      server = null;
    },
  };
  await agent.start();
  return agent;
}

async function bodyOf(request: IncomingMessage): Promise<unknown> {
  let text = '';
  for await (const chunk of request) text += String(chunk);
  return text === '' ? null : JSON.parse(text);
}

export interface Reply {
  status: number;
  value: unknown;
  type?: string;
}

function api(data: FakeData, method: string, url: URL, body: unknown): Reply {
  const [, , kind, id, what] = url.pathname.split('/');
  const ok = (value: unknown): Reply => ({ status: 200, value });
  const failed = (status: number, error: object): Reply => ({ status, value: { error } });
  if (data.turnAway !== null && method !== 'GET') return failed(data.turnAway.status, data.turnAway);
  if (kind === 'settings' && method === 'GET') return ok(data.settings);
  if (kind === 'settings') {
    const refusal = data.refuse(body as Settings);
    if (refusal !== null) return failed(400, refusal);
    data.settings = body as Settings;
    return ok(data.settings);
  }
  if (kind === 'trials') return trialsReply(data, method, { id, what, url }, body);
  if (kind === 'alarms') return ok({ done: true });
  if (kind === 'serial-ports') return ok({ ports: data.ports });
  if (kind === 'scan') return ok(data.scan);
  if (kind === 'own-adapters' && method === 'POST') {
    for (const own of data.own.adapters) if (own.file === (body as { file: string }).file) own.state = 'approved';
    return ok({ done: true });
  }
  if (kind === 'own-adapters') return ok(data.own);
  if (kind === 'sharing') return ok(sharingAnswer(data.sharing, id, body));
  if (kind === 'session') return ok({ scope: data.scope, name: null });
  if (kind === 'adapters')
    return ok({
      adapters: [{ id: 'lines', title: 'Lines of JSON', transports: ['serial', 'tcp', 'process'], gives: [] }],
    });
  if (kind !== 'stations' || id === undefined)
    return failed(404, { code: 'REQUEST_INVALID', message: 'No such path.', fix: 'None.' });
  const station = data.stations.find(s => s.id === id);
  if (station === undefined)
    return failed(404, { code: 'STATION_UNKNOWN', message: `There is no station ${id}.`, fix: 'Look at the list.' });
  if (what === 'judging') return ok(data.judging(method === 'POST'));
  if (what === 'aim') return ok({ ...data.aim, station: id });
  if (what === 'marks' || what === 'spots') {
    const refusal = data.refuseAim(body);
    if (refusal !== null) return failed(400, refusal);
    return ok(what === 'marks' && method === 'POST' ? data.mark(body) : { done: true });
  }
  if (what === 'spans' && method === 'GET') return ok({ station: id, spans: data.spans });
  if (what === 'notes' || what === 'spans' || (what === 'facts' && method === 'POST')) {
    const refusal = data.refuseTold(what, body);
    if (refusal !== null) return failed(400, refusal);
    return ok(
      what === 'facts' ? { ...data.moved, done: (body as { dryRun: boolean }).dryRun !== true } : { done: true },
    );
  }
  if (what === 'first-week') return ok({ ...data.firstWeek, station: id });
  if (what === 'years') return ok({ ...data.years, station: id });
  if (method === 'POST') return ok({ done: true });
  if (what === 'day') return ok(data.day(id, url.searchParams.get('date')!));
  if (what === 'facts') return ok({ station: id, zone: station.zone, facts: data.facts });
  if (what === 'series') {
    return ok(data.series(id, Date.parse(url.searchParams.get('from')!), Date.parse(url.searchParams.get('to')!)));
  }
  if (what === 'ledger') return ok(data.ledger(id, url.searchParams.get('from')!, url.searchParams.get('to')!));
  if (what === 'settings') {
    const told = data.settings.station.find(s => s.id === id) ?? data.told;
    return told === null ? failed(404, { code: 'STATION_UNKNOWN', message: 'Not told.', fix: 'None.' }) : ok(told);
  }
  if (what === 'outlast') return ok(data.outlast(id, url.searchParams));
  if (what === 'plan') return ok(data.plan(id));
  if (what === 'outages') return ok({ outages: data.outages });
  if (what === 'recording') return ok({ readings: 86_312, minutes: 0, csvBytes: 6_934_000 });
  if (what === 'days.csv') return { status: 200, value: 'date,solarWh\r\n', type: 'text/csv' };
  return failed(404, { code: 'REQUEST_INVALID', message: 'No such path.', fix: 'None.' });
}

/** Takes what Setup's part for sharing tells, and answers as the agent would. */
function sharingAnswer(sharing: SharingAnswer, what: string | undefined, body: unknown): unknown {
  const asked = body as { on?: boolean; interface?: string; request?: string; session?: string } | null;
  if (what === undefined) {
    if (asked !== null) {
      sharing.on = asked.on === true;
      sharing.interface = asked.interface ?? null;
      sharing.addresses = sharing.on ? [`http://${sharing.networks[0]!.address}:7420/`] : [];
    }
    return sharing;
  }
  if (what === 'invitation') {
    sharing.invitedUntil = INVITATION.until;
    return INVITATION;
  }
  if (what === 'decision') sharing.waiting = sharing.waiting.filter(({ id }) => id !== asked?.request);
  if (what === 'revoke') sharing.sessions = sharing.sessions.filter(({ id }) => id !== asked?.session);
  if (what === 'unlock') sharing.locked = false;
  return { done: true };
}

const INVITATION = {
  link: 'http://192.168.1.5:7420/pair#AAAAAAAAAAAAAAAAAAAAAA',
  code: '7KQ4M2XD',
  until: new Date(EVENING_AT + 300_000).toISOString(),
  qr: await qrRows('http://192.168.1.5:7420/pair#AAAAAAAAAAAAAAAAAAAAAA'),
};

/** Data with no station at all; tests fill in what they need. */
export const nothingYet = (): FakeData => ({
  stations: [],
  messages: [],
  nowAt: EVENING_AT,
  demo: false,
  protocol: PROTOCOL_VERSION,
  scope: 'change',
  display: { temperature: 'C', clock: '24' },
  heartbeatMs: 5000,
  series: (station, fromMs) => ({
    station,
    startAt: new Date(fromMs).toISOString(),
    stepMs: 60_000,
    count: 0,
    columns: {},
  }),
  ledger: station => ({
    station,
    zone: ZONE,
    today: '2026-11-08',
    days: [],
    missing: [],
    carpet: { stepMin: 30, rows: [] },
    facts: [],
    spans: [],
    bridges: [],
    money: null,
  }),
  outages: [],
  day: (station, date) => bareDay({ station, date }),
  facts: [],
  spans: [],
  refuseTold: () => null,
  moved: { done: false, fromDate: '', toDate: '', days: 0, wasJson: null, becomesJson: null },
  outlast: station => ({ ...nothingToSay(), station }),
  plan: station => shedPlan({ station }),
  judging: () => ({ state: 'never', share: 0, judged: null }),
  trials: trialsAnswer([]),
  compare: () => comparison([]),
  firstWeek: firstWeekOf({ steps: [], leftOut: [] }),
  years: yearsOf({ points: [] }),
  settings: {
    display: { temperature: 'C', clock: 'system' },
    record: { commitIntervalS: 10, keepRawDays: 90 },
    server: { host: '127.0.0.1', port: 7420 },
    log: { level: 'info' },
    station: [],
  },
  told: null,
  refuse: () => null,
  ports: [],
  own: {
    folder: '/home/u/.config/wattkeep/adapters',
    containment: { level: 2, networkOpen: false, hindrance: 'none' },
    adapters: [],
  },
  scan: { peripherals: [], trouble: null },
  sharing: {
    on: false,
    fixed: false,
    interface: null,
    addresses: [],
    trouble: '',
    networks: [{ name: 'wlan0', address: '192.168.1.5' }],
    invitedUntil: null,
    failures: 0,
    locked: false,
    waiting: [],
    sessions: [],
  },
  turnAway: null,
  aim: { station: '', pointing: null, spots: [], track: null, plan: null, carries: false },
  mark: () => ({ mark: null, why: 'short' }),
  refuseAim: () => null,
});
