/** The options of `wattkeep adapter capture`, checked. */
import * as v from 'valibot';
import { TransportSettings } from '#messages';
import { loadSettings, parseArguments } from '../settings/index.ts';
import type { TransportLike } from '../transports/index.ts';
import { settingsPathOf } from './adapter-place.ts';
import { numberWithin, usage } from './numbers.ts';

export interface CaptureOptions {
  readonly transport: TransportLike;
  readonly out: string;
  /** null: until the owner ends it. */
  readonly seconds: number | null;
  /** A file, the name of one, or a built-in's id: it asks as it would for the agent. */
  readonly adapter: string | null;
  readonly settings: string | undefined;
  /** Sent one after the other, again and again. */
  readonly send: readonly Uint8Array[];
  readonly everyMs: number;
  readonly json: boolean;
  /** Nothing is shown while it records. */
  readonly quiet: boolean;
}

const HOW = 'See wattkeep adapter capture --help.';
const MAX_SENT_BYTES = 512;
const DAY_S = 86_400;

/** @throws WattkeepError USAGE, SETTINGS_* */
export function captureOptions(argv: readonly string[]): CaptureOptions {
  const { values, switches, words } = parseArguments(argv, {
    values: [
      ...['transport', 'path', 'baud', 'host', 'port', 'name', 'service', 'address', 'station'],
      ...['out', 'seconds', 'adapter', 'send', 'every', 'settings'],
    ],
    repeatable: ['send'],
    switches: ['json', 'quiet'],
  });
  const option = (name: string): string | undefined => values.get(name)?.[0];
  const out = option('out');
  if (out === undefined) throw usage('adapter capture needs a file to write.', 'Add --out FILE.');
  const adapter = option('adapter') ?? null;
  const send = (values.get('send') ?? []).map(bytesOf);
  if (adapter !== null && send.length > 0)
    throw usage('--send and --adapter are two ways to ask.', 'Give one of them.');
  const transport = transportOf(option, words);
  if (transport.kind === 'ble' && send.length > 0)
    throw usage('--send asks on a stream of bytes.', 'For Bluetooth let an adapter ask: --adapter NAME.');
  return {
    transport,
    out,
    seconds: numberWithin('--seconds', option('seconds'), 0.1, DAY_S) ?? null,
    adapter,
    settings: option('settings'),
    send,
    everyMs: (numberWithin('--every', option('every'), 0.05, DAY_S) ?? 1) * 1000,
    json: switches.has('json'),
    quiet: switches.has('quiet') || switches.has('json'),
  };
}

function bytesOf(text: string): Uint8Array {
  const pairs = text.replace(/\s+/g, '');
  if (!/^([0-9a-f]{2})+$/i.test(pairs) || pairs.length > 2 * MAX_SENT_BYTES)
    throw usage(`--send is ${text.slice(0, 40)}.`, `Give pairs of hex digits, ${MAX_SENT_BYTES} at most.`);
  return new Uint8Array(Buffer.from(pairs, 'hex'));
}

/** From the options, or from a station of the settings. */
function transportOf(option: (name: string) => string | undefined, words: readonly string[]): TransportLike {
  const station = option('station');
  if (station !== undefined) return transportOfStation(station, option('settings'));
  const kind = option('transport');
  const text = (name: string) => (option(name) === undefined ? {} : { [name]: option(name) });
  const number = (name: string) =>
    option(name) === undefined ? {} : { [name]: numberWithin(`--${name}`, option(name), 0, 1e9) };
  const asked: Record<string, object> = {
    serial: { kind, ...text('path'), ...number('baud') },
    tcp: { kind, ...text('host'), ...number('port') },
    process: { kind, command: words },
    ble: { kind, ...text('name'), ...text('service'), ...text('address') },
  };
  if (kind === undefined || !Object.hasOwn(asked, kind))
    throw usage('adapter capture needs a transport.', `Add --transport serial, tcp, process or ble. ${HOW}`);
  const checked = v.safeParse(TransportSettings, asked[kind]);
  if (!checked.success || checked.output.kind === 'typed' || checked.output.kind === 'parts') {
    const path = checked.success ? '' : (v.getDotPath(checked.issues[0]) ?? '');
    throw usage(`--transport ${kind} needs another --${path === 'command' ? ' PROGRAM' : path || 'option'}.`, HOW);
  }
  return checked.output;
}

function transportOfStation(id: string, settings: string | undefined): TransportLike {
  const found = loadSettings(settingsPathOf(settings)).settings.station.find(station => station.id === id);
  if (found === undefined) throw usage(`There is no station "${id.slice(0, 40)}" in the settings.`, HOW);
  const { transport } = found;
  if (transport.kind === 'typed' || transport.kind === 'parts')
    throw usage(`${id} has no one connection to listen to.`, `Name the connection by its own options. ${HOW}`);
  return transport;
}
