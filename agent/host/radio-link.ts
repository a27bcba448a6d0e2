/**
 * One connection to one peripheral: found, connected, discovered; then subscribed, read and written as its adapter
 * needs. Tells exactly one end, and every step towards it has a limit.
 */
import { type BleCharacteristic, type BleNeeds, endpoints, type Timers } from '#kit';
import type { BleService, BleTarget } from '../transports/ble-radio.ts';
import { type Finding, find, plainUuid } from './radio-find.ts';
import type { Characteristic, Peripheral, Service } from './radio-library.ts';
import { createLimits, type Limits, type Outcome, type RadioLimits } from './radio-limits.ts';
import type { Scan } from './radio-scan.ts';
import { linkEnd, type RadioFailure } from './radio-words.ts';

const NO_BYTES = Buffer.alloc(0);
/** More than any station has; what a stranger's radio lists must fit a message. */
const MOST_CHARACTERISTICS = 256;
const LET_GO_LIMIT_MS = 1_000;
/** What the adapter takes to give a connection up. */
const CANCEL_MS = 300;

export interface LinkTells {
  opened(name: string, tree: readonly BleService[]): void;
  /** `place`: in the endpoints of what its adapter needs. */
  bytes(place: number, bytes: Buffer): void;
  closed(why: RadioFailure): void;
}

export interface LinkSurroundings {
  readonly scan: Scan;
  readonly timers: Timers;
  readonly limits: RadioLimits;
  readonly isTaken: (id: string) => boolean;
}

const isFailure = (answer: object): answer is RadioFailure => 'failure' in answer;

export class RadioLink {
  readonly #around: LinkSurroundings;
  readonly #tell: LinkTells;
  readonly #limits: Limits;
  readonly #finding: Finding;
  readonly #found = new Map<string, Characteristic>();
  readonly #answers = new Map<Characteristic, (bytes: Buffer) => void>();
  #places: (Characteristic | undefined)[] = [];
  #peripheral: Peripheral | null = null;
  #over = false;

  constructor(target: BleTarget, around: LinkSurroundings, tell: LinkTells) {
    this.#around = around;
    this.#tell = tell;
    this.#limits = createLimits(around.timers);
    this.#finding = find(target, around.isTaken, around);
    void this.#open();
  }

  /** Of the peripheral it holds or reaches for. */
  get peripheralId(): string | null {
    return this.#peripheral?.id ?? null;
  }

  /** Subscribes to what tells by itself. A lack of what is needed ends the link. */
  async use(needs: BleNeeds): Promise<void> {
    const named = Object.entries(needs.characteristics);
    const characteristics = named.map(([, need]) => this.#found.get(keyOf(need)));
    const lacking = named.filter(([, need], i) => need.optional !== true && characteristics[i] === undefined);
    if (lacking.length > 0) {
      this.#end({ failure: 'failed', detail: `the station lacks ${lacking.map(([name]) => name).join(', ')}` });
      return;
    }
    this.#places = endpoints(needs).map((_, place) => (place === 0 ? undefined : characteristics[place - 1]));
    for (const [i, [name, need]] of named.entries()) {
      const characteristic = characteristics[i];
      if (characteristic === undefined) continue;
      this.#hear(characteristic, i + 1);
      if (!need.use.includes('notify') || !canTell(characteristic)) continue;
      const outcome = await this.#limits.run<null>(`subscribing to ${name}`, this.#around.limits.subscribeMs, done =>
        characteristic.subscribe(() => done({ value: null })),
      );
      if ('failed' in outcome) {
        this.#end(outcome.failed);
        return;
      }
    }
  }

  /** Asks for a value. One that is lacking, refused or empty comes as no bytes at all: the library tells them alike. */
  async read(place: number): Promise<void> {
    const characteristic = this.#places[place];
    if (characteristic === undefined) {
      this.#tell.bytes(place, NO_BYTES);
      return;
    }
    const outcome = await this.#limits.run<Buffer>('a read', this.#around.limits.answerMs, done => {
      this.#answers.set(characteristic, bytes => done({ value: bytes }));
      characteristic.read();
    });
    this.#answers.delete(characteristic);
    if ('failed' in outcome) this.#end(outcome.failed);
    else this.#tell.bytes(place, outcome.value);
  }

  async write(place: number, message: Buffer): Promise<void> {
    const characteristic = this.#places[place];
    if (characteristic === undefined) return;
    const blind = !characteristic.properties.includes('write');
    const outcome = await this.#limits.run<null>('a message', this.#around.limits.answerMs, done =>
      characteristic.write(message, blind, () => done({ value: null })),
    );
    if ('failed' in outcome) this.#end(outcome.failed);
  }

  /** Lets the peripheral go, without a word. Resolves when it is gone, or after a limit. Idempotent. */
  async close(why: RadioFailure = { failure: 'ended', detail: 'closed' }): Promise<void> {
    this.#over = true;
    this.#finding.cancel();
    this.#limits.end(why);
    await this.#letGo();
  }

  async #open(): Promise<void> {
    const peripheral = await this.#finding.found;
    if (peripheral === null || this.#over) return;
    if (isFailure(peripheral)) {
      this.#end(peripheral);
      return;
    }
    this.#peripheral = peripheral;
    peripheral.on('disconnect', this.#onDisconnect);
    const connected = await this.#around.scan.resting(() => this.#connect(peripheral));
    if ('failed' in connected) {
      this.#end(connected.failed);
      return;
    }
    const tree = await this.#discover(peripheral);
    if ('failed' in tree) this.#end(tree.failed);
    else if (!this.#over) this.#tell.opened(peripheral.advertisement.localName ?? '', tree.value);
  }

  readonly #onDisconnect = (reason: unknown): void => this.#end(linkEnd(reason));

  async #connect(peripheral: Peripheral): Promise<Outcome<null>> {
    const outcome = await this.#limits.run<null>('connecting', this.#around.limits.connectMs, done =>
      peripheral.connect(failure => {
        if (failure === undefined || failure === null) done({ value: null });
        else done({ failed: { failure: 'refused', detail: `it takes no connection: ${wordsOf(failure)}` } });
      }),
    );
    if ('failed' in outcome) await this.#cancel(peripheral);
    return outcome;
  }

  /** A connection that nobody waits for any more would hold the adapter for ever, and one made too late the station. */
  async #cancel(peripheral: Peripheral): Promise<void> {
    peripheral.cancelConnect();
    await new Promise<void>(resolve => void this.#around.timers.after(CANCEL_MS, resolve));
    if (isConnected(peripheral)) peripheral.disconnect();
  }

  async #discover(peripheral: Peripheral): Promise<Outcome<BleService[]>> {
    const found = await this.#limits.run<readonly Service[]>('listing services', this.#around.limits.discoverMs, done =>
      peripheral.discoverServices([], (_, services) => done({ value: services })),
    );
    if ('failed' in found) return found;
    const tree: BleService[] = [];
    for (const service of found.value) {
      if (this.#found.size > MOST_CHARACTERISTICS) break;
      const uuid = plainUuid(service.uuid);
      const within = await this.#limits.run<readonly Characteristic[]>(
        `listing service ${uuid}`,
        this.#around.limits.discoverMs,
        done => service.discoverCharacteristics([], (_, characteristics) => done({ value: characteristics })),
      );
      if ('failed' in within) return within;
      const characteristics = within.value.slice(0, MOST_CHARACTERISTICS).map(characteristic => {
        const plain = { uuid: plainUuid(characteristic.uuid), can: [...characteristic.properties] };
        this.#found.set(`${uuid} ${plain.uuid}`, characteristic);
        return plain;
      });
      tree.push({ uuid, characteristics });
    }
    return { value: tree };
  }

  #hear(characteristic: Characteristic, place: number): void {
    characteristic.on('data', (bytes, isNotification) => {
      if (this.#over) return;
      if (isNotification) this.#tell.bytes(place, bytes);
      else this.#answers.get(characteristic)?.(bytes);
    });
  }

  #end(why: RadioFailure): void {
    if (this.#over) return;
    this.#over = true;
    this.#limits.end(why);
    void this.#letGo().then(() => this.#tell.closed(why));
  }

  #letGo(): Promise<void> {
    const peripheral = this.#peripheral;
    this.#peripheral = null;
    if (peripheral === null) return Promise.resolve();
    peripheral.removeListener('disconnect', this.#onDisconnect);
    if (!isConnected(peripheral)) return Promise.resolve();
    return new Promise(resolve => {
      const gone = (): void => {
        cancel();
        peripheral.removeListener('disconnect', gone);
        resolve();
      };
      const cancel = this.#around.timers.after(LET_GO_LIMIT_MS, gone);
      peripheral.on('disconnect', gone);
      peripheral.disconnect();
    });
  }
}

const keyOf = ({ service, uuid }: BleCharacteristic): string => `${plainUuid(service)} ${plainUuid(uuid)}`;
const canTell = ({ properties }: Characteristic): boolean =>
  properties.includes('notify') || properties.includes('indicate');
const isConnected = ({ state }: Peripheral): boolean => state === 'connected';
const wordsOf = (failure: unknown): string => (failure instanceof Error ? failure.message : String(failure));
