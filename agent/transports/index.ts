/** From the settings of a transport to a link. Bytes in, bytes out, no protocol. */
import type { Clock, OpenLink, Timers } from '#kit';
import { describeTarget, openBle } from './ble.ts';
import type { BleTarget, Radio } from './ble-radio.ts';
import { openProcess } from './process.ts';
import { openSerial } from './serial.ts';
import { openTcp } from './tcp.ts';

export type TransportLike =
  | { readonly kind: 'serial'; readonly path: string; readonly baud: number }
  | { readonly kind: 'tcp'; readonly host: string; readonly port: number }
  | { readonly kind: 'process'; readonly command: readonly string[] }
  | ({ readonly kind: 'ble' } & BleTarget);

export interface LinkSurroundings {
  readonly clock: Pick<Clock, 'monoMs'>;
  readonly timers: Timers;
  /** What a program of the owner's wrote to stderr, up to 64 KiB a minute. */
  readonly onStderr: (link: string, text: string) => void;
  /** Left out: whoever asks has no Bluetooth. */
  readonly radio?: Radio;
  /** Usually process.env: a program sees only PATH, HOME, language, zone and the folder for temporary files. */
  readonly environment: Readonly<Record<string, string | undefined>>;
}

/** The port, host or program, as the owner wrote it. */
export function describeLink(transport: TransportLike): string {
  switch (transport.kind) {
    case 'serial':
      return transport.path;
    case 'tcp':
      return transport.host.includes(':')
        ? `[${transport.host}]:${transport.port}`
        : `${transport.host}:${transport.port}`;
    case 'process':
      return transport.command.join(' ');
    case 'ble':
      return describeTarget(transport);
  }
}

const NO_RADIO: Radio = {
  open(_target, events) {
    queueMicrotask(() => events.closed('unsupported', 'there is no Bluetooth here'));
    const nothing = (): void => undefined;
    return { use: nothing, read: nothing, write: nothing, close: () => Promise.resolve() };
  },
  search(events) {
    queueMicrotask(() => events.failed('unsupported', 'there is no Bluetooth here'));
    return () => undefined;
  },
};

export function openLinkFor(transport: TransportLike, surroundings: LinkSurroundings): OpenLink {
  const { clock, timers, environment, onStderr, radio = NO_RADIO } = surroundings;
  switch (transport.kind) {
    case 'serial':
      return openSerial(transport);
    case 'tcp':
      return openTcp({ ...transport, timers });
    case 'ble':
      return openBle({ target: transport, radio });
    case 'process': {
      const link = describeLink(transport);
      return openProcess({ ...transport, clock, timers, environment, onStderr: text => onStderr(link, text) });
    }
  }
}
