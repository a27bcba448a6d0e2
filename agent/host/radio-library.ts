/**
 * The Bluetooth library as far as it is used, loaded only in the radio's own process: loading it can throw at once,
 * and it may end a process. `@stoprocent/noble` has the same interface and is taken where an owner installed it.
 */

export interface Peripheral {
  /** The address without colons; on macOS an id of that computer's own. */
  readonly id: string;
  readonly connectable: boolean;
  readonly rssi: number;
  readonly state: string;
  readonly advertisement: { readonly localName?: string; readonly serviceUuids?: readonly string[] };
  connect(done: (failure?: unknown) => void): void;
  cancelConnect(): void;
  disconnect(): void;
  discoverServices(only: readonly string[], done: (failure: unknown, services: readonly Service[]) => void): void;
  on(event: 'disconnect', hear: (reason: unknown) => void): void;
  removeListener(event: 'disconnect', hear: (reason: unknown) => void): void;
}

export interface Service {
  /** Hexadecimal, lower case; 16-bit ones without leading zeros. */
  readonly uuid: string;
  discoverCharacteristics(
    only: readonly string[],
    done: (failure: unknown, characteristics: readonly Characteristic[]) => void,
  ): void;
}

export interface Characteristic {
  readonly uuid: string;
  readonly properties: readonly string[];
  read(): void;
  write(message: Buffer, withoutResponse: boolean, done: () => void): void;
  subscribe(done: () => void): void;
  on(event: 'data', hear: (bytes: Buffer, isNotification: boolean) => void): void;
}

export interface Library {
  on(event: 'stateChange', hear: (state: string) => void): void;
  on(event: 'discover', hear: (peripheral: Peripheral) => void): void;
  on(event: 'warning', hear: (words: string) => void): void;
  on(event: 'scanStop', hear: () => void): void;
  startScanning(only: readonly string[], duplicates: boolean, done: (failure?: unknown) => void): void;
  stopScanning(done: () => void): void;
}

const NAMES = ['@abandonware/noble', '@stoprocent/noble'];

/** Not installed, not built, or no library at all. */
const IS_MISSING = /cannot find|no native build|could not locate|not found|invalid ELF|ERR_DLOPEN/i;

export type Loaded = { readonly library: Library } | { readonly missing: boolean; readonly detail: string };

/** The first library that loads; otherwise what the first one that is installed said. */
export async function loadLibrary(load: (name: string) => Promise<unknown> = name => import(name)): Promise<Loaded> {
  let said: { missing: boolean; detail: string } | null = null;
  for (const name of NAMES) {
    try {
      const loaded = (await load(name)) as { default?: Library } & Library;
      return { library: loaded.default ?? loaded };
    } catch (cause) {
      const detail = cause instanceof Error ? cause.message : String(cause);
      const missing = IS_MISSING.test(detail);
      if (said === null || (said.missing && !missing)) said = { missing, detail };
    }
  }
  return said ?? { missing: true, detail: 'no library' };
}
