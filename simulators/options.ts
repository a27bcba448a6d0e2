/** The command line of the simulator. Every option also as `--name=value`; negative values in both forms. */
import { parseArgs } from 'node:util';
import { FAULT_WORDS, faultFromText } from './faults.ts';
import { SHED_SEED, shedPlace } from './honey-shed.ts';
import { FIRST_SPOT, isSpotId, SHED_SPOTS, type SpotId } from './honey-shed-spots.ts';
import type { Place } from './plant/sun.ts';
import type { Make } from './wire/modbus/models.ts';

export interface RunOptions {
  readonly job: 'live' | 'history' | 'describe' | 'spots';
  readonly seed: number;
  readonly zone: string;
  readonly place: Place;
  readonly intervalMs: number;
  readonly speed: number;
  /** First instant shown live, or last of a history. */
  readonly atMs: number;
  /** Where the plant begins its life; what lies between here and `atMs` is lived through first. */
  readonly sinceMs: number;
  /** When its owner got it: `sinceMs`, or earlier where not all of a long life is lived through again. */
  readonly bornMs: number;
  readonly startPct: number | null;
  readonly historyDays: number;
  readonly mains: boolean;
  /** Where the panels stand at the start; undefined: where they stood in the past. */
  readonly spot: SpotId | undefined;
  /** A file that names the spot the panels are to be carried to, looked at every second; null without. */
  readonly spotFile: string | null;
  /** The step of its own counters on lines, Wh; null: it has none. */
  readonly countersStepWh: number | null;
  /** A file of measured irradiance in place of the drawn sky; null without. */
  readonly irradiance: string | null;
  /** Ends when this process is no longer its parent; null: whoever is the parent at the start. */
  readonly parentPid: number | null;
  readonly cable:
    | { kind: 'stdout' }
    | { kind: 'pty'; link: string; baud: number }
    | { kind: 'tcp'; host: string; port: number }
    | { kind: 'radio'; path: string };
  readonly faults: readonly string[];
  /** What it speaks; a SunSpec device's make and unit. */
  readonly protocol:
    | { readonly kind: 'lines' }
    | { readonly kind: 'sunspec'; readonly make: Make; readonly unit: number };
}

export const USAGE = `usage: run [options]
  --seed N           the same number gives the same sky and habits (default ${SHED_SEED})
  --zone Z           IANA zone of the shed's clock (default: this machine's)
  --lat D --lon D    place in degrees (default: an invented one whose noon is the zone's noon)
  --interval-ms N    time between lines, 20 to 3600000 (default 1000)
  --speed X          the plant lives X times as fast (default 1; 50000 is a season in three minutes)
  --at ISO           first instant shown (default now)
  --since ISO        instant the plant's life begins (default: midnight UTC three weeks before)
  --start-pct P      state of charge at the beginning; given alone, the plant's life begins at --at
  --mains            the shed has wall power
  --spot ID          where the panels stand: ${SHED_SPOTS.map(({ id }) => id).join(', ')} (default ${FIRST_SPOT})
  --spot-file FILE   names the spot instead; looked at every second, and the panels are carried there
  --irradiance FILE  CSV of time,ghiWm2[,dniWm2,dhiWm2,airTempC,windMs] in place of the drawn sky; give --at within it
  --counters WH      lines tell its own counts from the sun and of output, in steps of so many watt-hours
  --pty LINK         a pseudo-terminal under this name; --baud N paces it (default 115200, 0 = no pacing)
  --tcp PORT         a TCP port (0 = any free, told); --host H (default 127.0.0.1)
  --radio SOCKET     a Bluetooth station with a battery service, on a soft radio at this socket
  --protocol P       lines (default), or sunspec: a device that answers Modbus, RTU on --pty, TCP on --tcp
  --make M           of a SunSpec device: 701 (default) or 103, an older one; --unit N (default 1)
  --fault F          ${Object.entries(FAULT_WORDS)
    .map(([word, { args }]) => `${word}=${args}`)
    .join(' ')}; may be repeated
  --parent PID       end when this process is gone (default: whoever started it)
  --history DAYS     print one-minute rows of a recording up to --until ISO (default now), then end
  --describe         print the shed's facts as JSON, then end
  --spots            print the spots of its yard as JSON, then end
without --pty, --tcp or --radio the lines go to standard output
commands on standard input, answered by a line of JSON (on standard output, or on standard error when the lines go there):
  ledger FROM TO, now, unplug, replug, hush, speak, half, garbage [BYTES], flood [HZ SECONDS], fault F, calm, mains on|off, spot ID, quit
  household in|out (its own loads), panels in|out, load WATTS [ac|dc] (a steady one; 0: none), outlets on|off|habit
  of a SunSpec device also: freeze on|off, counters reset|wrap, refuse CODE|off
`;

const DAY_MS = 86_400_000;
const PAST_DAYS = 21;
const LIVED_AGAIN_DAYS = 35;
const midnightBefore = (ms: number, days: number): number => Math.floor(ms / DAY_MS - days) * DAY_MS;

const OPTIONS = {
  seed: { type: 'string' },
  zone: { type: 'string' },
  lat: { type: 'string' },
  lon: { type: 'string' },
  'interval-ms': { type: 'string' },
  speed: { type: 'string' },
  at: { type: 'string' },
  since: { type: 'string' },
  until: { type: 'string' },
  'start-pct': { type: 'string' },
  mains: { type: 'boolean' },
  spot: { type: 'string' },
  'spot-file': { type: 'string' },
  irradiance: { type: 'string' },
  counters: { type: 'string' },
  parent: { type: 'string' },
  pty: { type: 'string' },
  baud: { type: 'string' },
  tcp: { type: 'string' },
  host: { type: 'string' },
  radio: { type: 'string' },
  protocol: { type: 'string' },
  make: { type: 'string' },
  unit: { type: 'string' },
  fault: { type: 'string', multiple: true },
  history: { type: 'string' },
  describe: { type: 'boolean' },
  spots: { type: 'boolean' },
  help: { type: 'boolean' },
} as const;

interface ProtocolWords {
  readonly protocol?: string;
  readonly make?: string;
  readonly unit?: string;
  readonly pty?: string;
  readonly tcp?: string;
}

class Refused extends Error {}

/** `--lat -34` is read as `--lat=-34`: the parser of Node would refuse it. */
const joinNegatives = (argv: readonly string[]): string[] => {
  const out: string[] = [];
  for (const arg of argv) {
    const before = out.at(-1);
    if (/^-\.?\d/.test(arg) && before !== undefined && /^--[a-z-]+$/.test(before))
      out[out.length - 1] = `${before}=${arg}`;
    else out.push(arg);
  }
  return out;
};

const number = (name: string, text: string | undefined, fallback: number, min: number, max: number): number => {
  if (text === undefined) return fallback;
  const value = Number(text);
  if (text.trim() === '' || !(value >= min && value <= max))
    throw new Refused(`--${name} ${text}: a number from ${min} to ${max}`);
  return value;
};

const instant = (name: string, text: string | undefined, fallback: number): number => {
  if (text === undefined) return fallback;
  const ms = /^\d+$/.test(text) ? Number(text) : Date.parse(text);
  if (Number.isNaN(ms)) throw new Refused(`--${name} ${text}: an instant such as 2026-05-01T12:00:00Z`);
  return ms;
};

const zoneOf = (text: string | undefined, machineZone: string): string => {
  const zone = text ?? machineZone;
  try {
    new Intl.DateTimeFormat('en', { timeZone: zone });
    return zone;
  } catch (cause) {
    if (cause instanceof RangeError) throw new Refused(`--zone ${zone}: an IANA zone such as Europe/Lisbon`);
    throw cause;
  }
};

/** Reads the command line. Gives `{ usage }` with one line of reason where it cannot be understood ('' for --help). */
export function readOptions(
  argv: readonly string[],
  nowMs: number,
  machineZone: string,
): RunOptions | { usage: string } {
  try {
    return understand(argv, nowMs, machineZone);
  } catch (cause) {
    // parseArgs tells an unknown option by throwing a TypeError with a code of its own.
    if (cause instanceof Refused || String((cause as NodeJS.ErrnoException).code).startsWith('ERR_PARSE_ARGS')) {
      return { usage: (cause as Error).message };
    }
    throw cause;
  }
}

function understand(argv: readonly string[], nowMs: number, machineZone: string): RunOptions | { usage: string } {
  const { values: v } = parseArgs({
    args: joinNegatives(argv),
    options: OPTIONS,
    strict: true,
    allowPositionals: false,
  });
  if (v.help) return { usage: '' };
  const zone = zoneOf(v.zone, machineZone);
  const historyDays = number('history', v.history, PAST_DAYS, 1, 400);
  const job = v.describe ? 'describe' : v.spots ? 'spots' : v.history === undefined ? 'live' : 'history';
  const atMs = job === 'history' ? instant('until', v.until, nowMs) : instant('at', v.at, nowMs);
  const startPct = v['start-pct'] === undefined ? null : number('start-pct', v['start-pct'], 0, 0, 100);
  // Under a measured sky a life begins where it is shown: before the file there is no light.
  const pastMs =
    job === 'live' && (startPct !== null || v.irradiance !== undefined) ? atMs : midnightBefore(atMs, historyDays);
  const bornMs = Math.min(instant('since', v.since, pastMs), atMs);
  // A shed stays where it was when its past was first printed: three weeks into its life.
  const invented = shedPlace(zone, v.since === undefined ? midnightBefore(atMs, 0) : bornMs + PAST_DAYS * DAY_MS);
  // A plant forgets its past at the first full charge: a long life need not be lived through again.
  const forgotten = job === 'live' && startPct === null ? midnightBefore(atMs, LIVED_AGAIN_DAYS) : bornMs;
  return {
    job,
    zone,
    atMs,
    startPct,
    historyDays,
    seed: number('seed', v.seed, SHED_SEED, 0, 2 ** 31),
    place: {
      latitudeDeg: number('lat', v.lat, invented.latitudeDeg, -90, 90),
      longitudeDeg: number('lon', v.lon, invented.longitudeDeg, -180, 180),
    },
    intervalMs: number('interval-ms', v['interval-ms'], 1000, 20, 3_600_000),
    speed: number('speed', v.speed, 1, 0.01, 100_000),
    sinceMs: Math.max(bornMs, forgotten),
    bornMs,
    mains: v.mains ?? false,
    spot: spotOf(v.spot),
    spotFile: v['spot-file'] ?? null,
    countersStepWh: v.counters === undefined ? null : number('counters', v.counters, 1, 0.001, 10_000),
    irradiance: v.irradiance ?? null,
    parentPid: v.parent === undefined ? null : number('parent', v.parent, 0, 1, 2 ** 31),
    cable: cableOf(v),
    faults: faultsOf(v.fault ?? []),
    protocol: protocolOf(v),
  };
}

function spotOf(text: string | undefined): SpotId | undefined {
  if (text !== undefined && !isSpotId(text))
    throw new Refused(`--spot ${text}: ${SHED_SPOTS.map(({ id }) => id).join(', ')}`);
  return text;
}

function protocolOf(v: ProtocolWords): RunOptions['protocol'] {
  const { protocol = 'lines', make = '701' } = v;
  if (protocol === 'lines') return { kind: 'lines' };
  if (protocol !== 'sunspec') throw new Refused(`--protocol ${protocol}: lines or sunspec`);
  if (make !== '701' && make !== '103') throw new Refused(`--make ${make}: 701 or 103`);
  if (v.pty === undefined && v.tcp === undefined) throw new Refused('--protocol sunspec needs --pty or --tcp');
  return { kind: 'sunspec', make, unit: number('unit', v.unit, 1, 1, 247) };
}

function cableOf(v: { pty?: string; tcp?: string; radio?: string; baud?: string; host?: string }): RunOptions['cable'] {
  if (v.radio !== undefined) return { kind: 'radio', path: v.radio };
  if (v.pty !== undefined) return { kind: 'pty', link: v.pty, baud: number('baud', v.baud, 115_200, 0, 4_000_000) };
  if (v.tcp !== undefined)
    return { kind: 'tcp', host: v.host ?? '127.0.0.1', port: number('tcp', v.tcp, 0, 0, 65_535) };
  return { kind: 'stdout' };
}

function faultsOf(words: readonly string[]): readonly string[] {
  for (const text of words) {
    // Only the words are looked at here; chance comes when the run begins.
    if (faultFromText(() => 0, text) === null) throw new Refused(`--fault ${text}: not a fault with its numbers`);
  }
  return words;
}
