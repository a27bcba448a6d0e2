/**
 * A real server on a free port with a small built page, a record of one station in memory and a clock in the test's
 * hand; plus the clients that talk to it.
 */
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { type IncomingHttpHeaders, request } from 'node:http';
import { connect, type Socket } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { brotliCompressSync } from 'node:zlib';
import * as v from 'valibot';
import { WebSocket } from 'ws';
import { civilDate } from '#energy/civil-day';
import { type Reading, WattkeepError } from '#kit';
import {
  type LedgerAnswer,
  type LiveMessage,
  type RecordQueries,
  ServerMessage,
  Settings,
  StationSettings,
  type WireStation,
} from '#messages';
import type { ServerDeps } from '../../agent/server/deps.ts';
import { type RunningServer, startServer } from '../../agent/server/serve.ts';
import type { Sharing } from '../../agent/sharing/index.ts';
import { aimTold } from './aim-told.ts';
import { type HandClock, handClock } from './hand-clock.ts';
import { nothingToSay } from './outlasts.ts';
import { shedPlan } from './plans.ts';
import { NETWORK_ADDRESS, type StagedSharing, stageSharing } from './sharing-stage.ts';
import { noTrials } from './trials-told.ts';

export const SHELL =
  '<!doctype html><html lang="en"><title>honey shed</title><script type="module" src="/app-1a2b.js"></script>';

export const PAIR_SHELL = '<!doctype html><title>let this phone in</title>';

export const SHED: WireStation = {
  id: 'shed',
  name: 'Honey shed',
  adapter: 'lines',
  transport: 'serial',
  simulated: false,
  zone: 'Europe/Lisbon',
  ratedWh: 1000,
  reserveFloorPct: 10,
  chargeCeilingPct: 100,
  lowCutoffPct: 0,
  solarMaxW: 400,
  gives: ['inputPowerW', 'outputPowerW', 'stateOfChargePct'],
  inputSource: 'sun',
  place: null,
};

export const reading = (seq: number, at: number, over: Partial<Reading> = {}): Reading => ({
  station: 'shed',
  session: 'session-1',
  seq,
  monoMs: seq * 1000,
  at,
  clock: 'synced',
  quantities: { inputPowerW: 180, outputPowerW: 62.5, stateOfChargePct: 71 },
  states: { onMains: false },
  quality: 'good',
  reasons: {},
  ...over,
});

export const liveReading = (seq: number, station = 'shed', ageMs = 0): LiveMessage => ({
  type: 'reading',
  ageMs,
  reading: {
    station,
    session: 'session-1',
    seq,
    at: '2026-06-21T12:00:00.000Z',
    clock: 'synced',
    quantities: { inputPowerW: seq },
    states: {},
    quality: 'good',
    reasons: {},
  },
});

export const status = (station = 'shed'): Extract<LiveMessage, { type: 'status' }> => ({
  type: 'status',
  status: {
    station,
    phase: 'live',
    attempt: 0,
    attemptsAllowed: 8,
    nextTryInMs: null,
    staleAfterMs: 5000,
    link: '/dev/ttyUSB0',
    accepted: 7,
    rejected: { notJson: 1 },
  },
});

const WH = 3_600_000;
/** One day and one outage of the shed; everything else is empty. */
export function recordOfOneDay(): RecordQueries {
  const startMs = Date.UTC(2026, 5, 20, 23);
  return {
    stations: () => ['shed'],
    latest: () => null,
    series: ({ fromMs, toMs, points, quantities }) => ({
      startMs: fromMs,
      stepMs: (toMs - fromMs) / points,
      count: points,
      columns: Object.fromEntries(
        quantities.map(q => [
          q,
          { min: Array(points).fill(1), mean: Array(points).fill(2), max: Array(points).fill(null) },
        ]),
      ),
    }),
    means: () => ({}),
    limits: () => null,
    days: (_station, from, to) =>
      [
        {
          date: '2026-06-21',
          zone: 'Europe/Lisbon',
          startMs,
          endMs: startMs + 86_400_000,
          solarMilliJ: 800 * WH,
          inputMilliJ: 900 * WH,
          outputMilliJ: 450 * WH,
          coveredMs: 39_000_000,
          gapMs: 7_800_000,
          solarPeakW: 312.5,
          stateOfChargeMinPct: 44,
          stateOfChargeMaxPct: 97,
        },
      ].filter(d => d.date >= from && d.date <= to),
    extent: () => null,
    outages: () => [
      {
        station: 'shed',
        startedAt: startMs,
        endedAt: null,
        startPct: 88,
        endPct: null,
        lowestPct: 61,
        outputMilliJ: 12 * WH,
        inputMilliJ: 3 * WH,
        promisedAt: startMs + 60_000,
        promisedP10At: startMs + 4 * 3_600_000,
        promisedP50At: null,
        floorAt: null,
      },
    ],
    spans: () => [],
    facts: () => [],
    cursor: () => null,
    learned: () => null,
    spots: () => [],
    marks: () => [],
    lastMark: () => null,
    notes: () => [],
    lastNote: () => null,
    counted: () => [],
    bridges: () => [],
    counterEnds: () => [],
    evidence: () => [],
    trials: () => [],
    trial: () => null,
    liveTrials: () => [],
    readings: () => [],
    savedState: () => ({ lastSavedAt: null, commitIntervalMs: 10_000, trouble: null, troubleSinceAt: null }),
  };
}

/** The Ledger of a station that has recorded nothing yet. */
const emptyLedger = (station: string, zone: string): LedgerAnswer => ({
  station,
  zone,
  today: '2026-06-21',
  days: [],
  missing: [],
  carpet: { stepMin: 30, rows: [] },
  facts: [],
  spans: [],
  bridges: [],
  money: null,
});

export interface Answer {
  status: number;
  headers: IncomingHttpHeaders;
  body: string;
}

export interface Stage {
  server: RunningServer;
  clock: HandClock;
  /** What the actions, the settings and the log were told, in order. */
  told: unknown[][];
  /** Folder above the site: a canary lies in it. */
  dir: string;
  get(path: string, headers?: Record<string, string>): Promise<Answer>;
  sharing: Sharing;
  lan: StagedSharing['lan'];
  /** The Cookie header of a browser that may change things from this machine. */
  cookie: string;
  /** Shares it on an address that counts as one of a network; asks there instead. */
  share(): Promise<Elsewhere>;
  /** A change as the page sends it; headers given replace its own ('' removes one). */
  change(method: string, path: string, body: unknown, headers?: Record<string, string>): Promise<Answer>;
  ask(method: string, path: string, headers: Record<string, string>, body?: string): Promise<Answer>;
  /** Sends bytes as they are and collects all that comes back until the server closes. */
  raw(bytes: string | Buffer): Promise<string>;
  open(headers?: Record<string, string>): LiveTap;
  close(): Promise<void>;
}

/** The same server, asked over a network. */
export interface Elsewhere {
  /** `ADDRESS:PORT` */
  host: string;
  ask(method: string, path: string, headers?: Record<string, string>, body?: string): Promise<Answer>;
  /** A POST as the page sends it. */
  post(path: string, body: unknown, headers?: Record<string, string>): Promise<Answer>;
  open(headers?: Record<string, string>): LiveTap;
}

export const CANARY = 'the canary sings';

export async function stageServer(over: Partial<ServerDeps> = {}): Promise<Stage> {
  const dir = mkdtempSync(join(tmpdir(), 'wattkeep-server-'));
  const siteDir = mkdtempSync(join(dir, 'site-'));
  writeFileSync(join(dir, 'canary.txt'), CANARY);
  writeFileSync(join(siteDir, 'unlisted.txt'), CANARY);
  writeSite(siteDir);
  const clock = handClock();
  const told: unknown[][] = [];
  let running: RunningServer | null = null;
  const { sharing, lan, door } = stageSharing(join(dir, 'data'), clock, () => running);
  const deps = depsOf(siteDir, clock, told, { sessions: sharing, sharing: door, ...over });
  const server = await startServer(deps);
  running = server;
  server.setStations([SHED]);
  const host = `127.0.0.1:${server.port}`;
  const ask: Stage['ask'] = (method, path, headers, body) =>
    askOnce('127.0.0.1', server.port, method, path, headers, body);
  const taps: LiveTap[] = [];
  const cookie = `${sharing.cookieName}=${sharing.createToken('The laptop', 'change').token}`;
  const tapped = (tap: LiveTap) => {
    taps.push(tap);
    return tap;
  };
  return {
    server,
    sharing,
    lan,
    cookie,
    async share() {
      await lan.want({ name: null });
      const there = `${NETWORK_ADDRESS}:${server.port}`;
      const asking: Elsewhere['ask'] = (method, path, headers = {}, body) =>
        askOnce(NETWORK_ADDRESS, server.port, method, path, headers, body);
      return {
        host: there,
        ask: asking,
        post(path, body, headers = {}) {
          const page = { origin: `http://${there}`, 'content-type': 'application/json', 'x-wattkeep': '1' };
          return asking('POST', path, { ...page, ...headers }, JSON.stringify(body));
        },
        open: (headers = {}) => tapped(tapLive(`ws://${there}/live`, `http://${there}`, headers)),
      };
    },
    clock,
    told,
    dir,
    ask,
    get: (path, headers = {}) => ask('GET', path, headers),
    change(method, path, body, headers = {}) {
      const page = { origin: `http://${host}`, 'content-type': 'application/json', 'x-wattkeep': '1', cookie };
      const kept = Object.entries({ ...page, ...headers }).filter(([, value]) => value !== '');
      return ask(method, path, Object.fromEntries(kept), typeof body === 'string' ? body : JSON.stringify(body));
    },
    raw: bytes => exchange(server.port, bytes),
    open: (headers = {}) => tapped(tapLive(`ws://${host}/live`, `http://${host}`, headers)),
    async close() {
      for (const tap of taps) tap.socket.terminate();
      await lan.close();
      await server.close();
      rmSync(dir, { recursive: true, force: true });
    },
  };
}

function writeSite(siteDir: string): void {
  const script = 'export const honey = 1;\n';
  writeFileSync(join(siteDir, 'index.html'), SHELL);
  writeFileSync(join(siteDir, 'index.html.br'), brotliCompressSync(SHELL));
  writeFileSync(join(siteDir, 'pair.html'), PAIR_SHELL);
  writeFileSync(join(siteDir, 'app-1a2b.js'), script);
  const files = {
    '/': { file: 'index.html', br: 'index.html.br', type: 'text/html; charset=utf-8', etag: 'e1' },
    '/ledger': { file: 'index.html', type: 'text/html; charset=utf-8', etag: 'e1', within: true },
    '/pair': { file: 'pair.html', type: 'text/html; charset=utf-8', etag: 'e3' },
    '/app-1a2b.js': { file: 'app-1a2b.js', type: 'text/javascript; charset=utf-8', etag: 'e2', immutable: true },
  };
  const csp = { styleHashes: ['sha256-47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU='] };
  writeFileSync(join(siteDir, 'manifest.json'), JSON.stringify({ files, csp }));
}

type SharedDeps = Pick<ServerDeps, 'sessions' | 'sharing'>;

function depsOf(
  siteDir: string,
  clock: HandClock,
  told: unknown[][],
  over: Partial<ServerDeps> & SharedDeps,
): ServerDeps {
  const tell =
    (what: string) =>
    (...args: unknown[]) => {
      told.push([what, ...args]);
    };
  const settings = v.parse(Settings, {});
  return {
    host: '127.0.0.1',
    port: 0,
    siteDir,
    queries: recordOfOneDay(),
    hello: () => ({ version: '0.1.0', demo: false, display: { temperature: 'C', clock: '24' } }),
    current: station => [{ ...liveReading(0, station, 250) }, status(station)] as LiveMessage[],
    stationSettings: id => v.parse(StationSettings, { id, name: 'Honey shed', transport: { kind: 'typed' } }),
    outlast: async (station, asked) => {
      told.push(['outlast', station, asked]);
      return { ...nothingToSay(), station };
    },
    plan: async station => shedPlan({ station }),
    judging: {
      begin: station => void told.push(['judge', station]),
      of: () => ({ state: 'running', share: 0.25, judged: null }),
    },
    aim: aimTold(told),
    days: {
      day: async () => Promise.reject(new WattkeepError('STATION_UNKNOWN', 'No day is staged.', 'None.')),
      spans: async station => ({ station, spans: [] }),
      changeNote: async (station, change) => void told.push(['notes', station, change]),
      changeSpan: async (station, change) => void told.push(['spans', station, change]),
      facts: async station => ({ station, zone: SHED.zone, facts: [] }),
      async moveFact(station, change) {
        told.push(['facts', station, change]);
        return { done: true, fromDate: '', toDate: '', days: 0, wasJson: null, becomesJson: null };
      },
    },
    trials: noTrials,
    alarms: { list: () => [], change: (change, station) => void told.push(['alarm', change, station]) },
    health: () => ({
      version: '0.1.0',
      uptimeMs: 1000,
      demo: false,
      saved: { lastSavedAt: null, commitIntervalMs: 10_000, trouble: null, troubleSinceAt: null },
      clock: 'synced',
      clients: 0,
      refused: {},
    }),
    settings: {
      get: () => ({ settings, revision: 'r1' }),
      put(next, revision) {
        told.push(['put', next, revision]);
        return { settings: next, revision: 'r2' };
      },
    },
    actions: {
      typed: tell('typed'),
      inputSource: tell('inputSource'),
      loads: tell('loads'),
      plan: tell('plan'),
      retry: tell('retry'),
      serialPorts: async () => [{ path: '/dev/ttyUSB0', label: 'a cable' }],
      release: tell('release'),
      putAway: tell('putAway'),
      putAwayCalendar: station => `BEGIN:VCALENDAR\r\n${station}\r\n`,
      confirmUnits: tell('confirmUnits'),
      scan: async () => ({ peripherals: [], trouble: 'no Bluetooth adapter is plugged in' }),
      adapters: () => [{ id: 'lines', title: 'Lines', transports: ['serial'], gives: ['inputPowerW'] }],
      ownAdapters: () => ({
        folder: '/data/adapters',
        containment: { level: 1, networkOpen: true, hindrance: 'missing' },
        adapters: [],
      }),
      approveAdapter: tell('approveAdapter'),
    },
    log: { error: tell('log error'), warn: tell('log warn') },
    clock,
    onClientClock: tell('client clock'),
    reading: {
      async *series(request) {
        told.push(['series', request]);
        yield Buffer.from(JSON.stringify({ read: 'beside' }));
      },
      ledger(station, zone, ...dates) {
        told.push(['ledger', station, zone, ...dates]);
        return { tag: null, body: [Buffer.from(JSON.stringify(emptyLedger(station, zone)))].values() as never };
      },
      async *daysCsv(station, zone, from, to) {
        told.push(['daysCsv', station, zone, from, to]);
        yield Buffer.from(`date,solarWh\r\n${station},${from},${to}\r\n`);
      },
      async *recordingSize(...asked) {
        told.push(['recordingSize', ...asked]);
        yield Buffer.from(JSON.stringify({ readings: 1, minutes: 0, csvBytes: 40 }));
      },
      async *recording(...asked) {
        told.push(['recording', ...asked]);
        yield Buffer.from('time,inputPowerW\r\n');
        yield Buffer.from('2026-06-21T12:00:00Z,1\r\n');
      },
      dateOf: civilDate,
    },
    newId: () => 'id-1',
    ...over,
  };
}

function askOnce(
  host: string,
  port: number,
  method: string,
  path: string,
  headers: Record<string, string>,
  body?: string,
): Promise<Answer> {
  return new Promise((resolve, reject) => {
    const sent = request({ host, port, method, path, headers, agent: false }, response => {
      const chunks: Buffer[] = [];
      response.on('data', (chunk: Buffer) => chunks.push(chunk));
      response.on('end', () =>
        resolve({
          status: response.statusCode ?? 0,
          headers: response.headers,
          body: Buffer.concat(chunks).toString('latin1'),
        }),
      );
    });
    sent.on('error', reject);
    sent.end(body);
  });
}

function exchange(port: number, bytes: string | Buffer): Promise<string> {
  return new Promise(resolve => {
    const socket = connect(port, '127.0.0.1', () => socket.write(bytes));
    let text = '';
    socket.on('data', chunk => {
      text += chunk.toString('latin1');
    });
    // A reset after the answer is the server's way of not reading on: what came before it counts.
    socket.on('error', () => socket.destroy());
    socket.on('close', () => resolve(text));
  });
}

export interface LiveTap {
  socket: WebSocket;
  /** Everything received, checked against the shared schema. */
  got: ServerMessage[];
  /** The TCP status of a refused upgrade, or 101. */
  status: Promise<number>;
  closed: Promise<{ code: number; reason: string }>;
  /** Resolves with the first message, old or new, that fits. */
  until(fits: (message: ServerMessage) => boolean): Promise<ServerMessage>;
  subscribe(stations?: string[]): void;
  ack(n: number): void;
  /** Acknowledges each message as it comes, as the page does. */
  ackAll(): void;
  /** Resolves when the server has read everything sent before. */
  roundTrip(): Promise<void>;
}

export function tapLive(url: string, origin: string | undefined, headers: Record<string, string> = {}): LiveTap {
  const socket = new WebSocket(url, { ...(origin === undefined ? {} : { origin }), headers });
  const got: ServerMessage[] = [];
  const waiting = new Set<(message: ServerMessage) => void>();
  socket.on('message', bytes => {
    const message = v.parse(ServerMessage, JSON.parse(String(bytes)));
    got.push(message);
    for (const look of waiting) look(message);
  });
  const status = new Promise<number>(resolve => {
    socket.on('open', () => resolve(101));
    socket.on('unexpected-response', (_request, response) => {
      resolve(response.statusCode ?? 0);
      response.destroy();
    });
  });
  socket.on('error', () => socket.terminate());
  const say = (message: object) => socket.send(JSON.stringify(message));
  return {
    socket,
    got,
    status,
    closed: new Promise(resolve => {
      socket.on('close', (code, reason) => resolve({ code, reason: String(reason) }));
    }),
    until(fits) {
      const early = got.find(fits);
      if (early !== undefined) return Promise.resolve(early);
      return new Promise(resolve => {
        const look = (message: ServerMessage) => {
          if (!fits(message)) return;
          waiting.delete(look);
          resolve(message);
        };
        waiting.add(look);
      });
    },
    subscribe: (stations = []) => say({ type: 'subscribe', protocol: 1, stations, now: '2026-06-21T12:00:00.000Z' }),
    ack: n => say({ type: 'ack', n }),
    ackAll() {
      for (const { n } of got.slice(-1)) say({ type: 'ack', n });
      waiting.add(({ n }) => say({ type: 'ack', n }));
    },
    roundTrip: () =>
      new Promise(resolve => {
        socket.once('pong', () => resolve());
        socket.ping();
      }),
  };
}

/** A TCP connection that has finished a WebSocket handshake and then speaks in raw frames. */
export async function rawLive(port: number): Promise<{ socket: Socket; closeCode: Promise<number | null> }> {
  const socket = connect(port, '127.0.0.1');
  socket.write(
    `GET /live HTTP/1.1\r\nHost: 127.0.0.1:${port}\r\nOrigin: http://127.0.0.1:${port}\r\nConnection: Upgrade\r\n` +
      'Upgrade: websocket\r\nSec-WebSocket-Version: 13\r\nSec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==\r\n\r\n',
  );
  let all = Buffer.alloc(0);
  const opened = new Promise<void>(resolve => {
    socket.on('data', chunk => {
      all = Buffer.concat([all, chunk]);
      if (all.includes('\r\n\r\n')) resolve();
    });
  });
  const closeCode = new Promise<number | null>(resolve => {
    socket.on('error', () => socket.destroy());
    socket.on('close', () => resolve(closeCodeIn(all.subarray(all.indexOf('\r\n\r\n') + 4))));
  });
  await opened;
  return { socket, closeCode };
}

/** Code of the first close frame among a server's (unmasked) frames. */
function closeCodeIn(bytes: Buffer): number | null {
  for (let at = 0; at + 2 <= bytes.length; ) {
    const opcode = bytes[at]! & 0x0f;
    const short = bytes[at + 1]! & 0x7f;
    const head = short === 126 ? 4 : 2;
    const length = short === 126 ? bytes.readUInt16BE(at + 2) : short;
    if (opcode === 8) return length >= 2 ? bytes.readUInt16BE(at + head) : 1005;
    at += head + length;
  }
  return null;
}
