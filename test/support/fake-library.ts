/** A Bluetooth library that does what the scenario says, for what no simulated radio would show in a second. */
import type { Library, Peripheral } from '../../agent/host/radio-library.ts';

export interface FakeLibrary extends Library {
  /** `start`, `stop`: what was asked of the search, in order. */
  readonly asked: ('start' | 'stop')[];
  /** A stop is answered. Default true. */
  answersStop: boolean;
  startFails: boolean;
  hear(peripheral: Peripheral): void;
  state(state: string): void;
  warn(words: string): void;
  stopByOthers(): void;
}

export function fakeLibrary(): FakeLibrary {
  const heard: Record<string, (told: never) => void> = {};
  const asked: ('start' | 'stop')[] = [];
  const tell = (event: string, told?: unknown): void => heard[event]?.(told as never);
  const library: FakeLibrary = {
    asked,
    answersStop: true,
    startFails: false,
    on(event: string, hear: (told: never) => void) {
      heard[event] = hear;
    },
    startScanning(_only, _duplicates, done) {
      asked.push('start');
      done(library.startFails ? new Error('not now') : undefined);
    },
    stopScanning(done) {
      asked.push('stop');
      if (library.answersStop) done();
    },
    hear: peripheral => tell('discover', peripheral),
    state: state => tell('stateChange', state),
    warn: words => tell('warning', words),
    stopByOthers: () => tell('scanStop'),
  };
  return library;
}

export const fakePeripheral = (change: Partial<Peripheral> = {}): Peripheral => ({
  id: 'c00000000001',
  connectable: true,
  rssi: -60,
  state: 'disconnected',
  advertisement: { localName: 'Honey shed', serviceUuids: ['180f'] },
  connect: () => undefined,
  cancelConnect: () => undefined,
  disconnect: () => undefined,
  discoverServices: () => undefined,
  on: () => undefined,
  removeListener: () => undefined,
  ...change,
});
