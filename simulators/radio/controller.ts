/**
 * A soft Bluetooth controller: what stands behind one host's HCI socket. Answers commands, hears peripherals, holds
 * connections. Legacy advertising and connections only; no pairing, no encryption, no loss of its own.
 */
import { Connection } from './connection.ts';
import {
  addressText,
  advertisingReport,
  COMMAND,
  commandComplete,
  commandStatus,
  connectionComplete,
  connectionUpdated,
  disconnectionComplete,
  PACKET,
  packetsCompleted,
  REPORT,
  STATUS,
} from './packets.ts';
import type { Peripheral } from './peripheral.ts';

export interface Air {
  readonly peripherals: readonly Peripheral[];
  readonly advertiseEveryMs: number;
  after(delayMs: number, run: () => void): () => void;
}

const VERSION = [9, 0, 0, 9, 0xff, 0xff, 0, 0];
const FRAGMENT_BYTES = 27;
const BUFFERS = 8;
const ADDRESS = [0x01, 0x00, 0x00, 0x5e, 0x00, 0x02];
const RSSI_DBM = -60;
const HANDLE_LIMIT = 0x0eff;

/** Masks, features, host support, scan parameters: accepted, with zeros where something is asked for. */
const ACCEPTED = [0, 0, 0, 0, 0, 0, 0, 0];

function resultOf(opcode: number, body: Buffer): readonly number[] {
  switch (opcode) {
    case COMMAND.readLocalVersion:
      return VERSION;
    case COMMAND.readAddress:
      return ADDRESS;
    case COMMAND.leReadBufferSize:
      return [FRAGMENT_BYTES, 0, BUFFERS];
    case COMMAND.readRssi:
      return [body[0]!, body[1]!, RSSI_DBM & 0xff];
    default:
      return ACCEPTED;
  }
}

export class Controller {
  readonly #air: Air;
  readonly #toHost: (packet: Buffer) => void;
  readonly #connections = new Map<number, Connection>();
  readonly #reported = new Set<string>();
  #scanning = false;
  #onlyOnce = false;
  #wanted: string | null = null;
  #lastHandle = 0x3f;
  #cancelRound: (() => void) | null = null;

  constructor(air: Air, toHost: (packet: Buffer) => void) {
    this.#air = air;
    this.#toHost = toHost;
  }

  /** A packet of the host. */
  take(packet: Buffer): void {
    if (packet[0] === PACKET.command) this.#command(packet.readUInt16LE(1), packet.subarray(4));
    else if (packet[0] === PACKET.acl) this.#data(packet);
  }

  /** The host is gone. */
  close(): void {
    this.#cancelRound?.();
    this.#cancelRound = null;
    for (const connection of this.#connections.values()) connection.end();
    this.#connections.clear();
  }

  #command(opcode: number, body: Buffer): void {
    if (opcode === COMMAND.leCreateConnection) this.#connect(opcode, addressText(body.subarray(6, 12)));
    else if (opcode === COMMAND.leCancelConnection) this.#cancelConnect(opcode);
    else if (opcode === COMMAND.disconnect) {
      this.#toHost(commandStatus(opcode, STATUS.ok));
      this.#end(body.readUInt16LE(0), STATUS.hostEnded);
    } else if (opcode === COMMAND.leConnectionUpdate) {
      this.#toHost(commandStatus(opcode, STATUS.ok));
      this.#toHost(connectionUpdated(body.readUInt16LE(0)));
    } else {
      if (opcode === COMMAND.leSetScanEnable) this.#scan(body[0] === 1, body[1] === 1);
      this.#toHost(commandComplete(opcode, STATUS.ok, resultOf(opcode, body)));
    }
  }

  #data(packet: Buffer): void {
    const handle = packet.readUInt16LE(1) & HANDLE_LIMIT;
    const connection = this.#connections.get(handle);
    if (connection === undefined) return;
    this.#toHost(packetsCompleted(handle, 1));
    connection.take(packet);
  }

  #scan(on: boolean, onlyOnce: boolean): void {
    this.#scanning = on;
    this.#onlyOnce = onlyOnce;
    if (on) this.#reported.clear();
    this.#listen();
  }

  #connect(opcode: number, address: string): void {
    this.#toHost(commandStatus(opcode, this.#wanted === null ? STATUS.ok : STATUS.disallowed));
    this.#wanted ??= address;
    this.#listen();
  }

  #cancelConnect(opcode: number): void {
    const address = this.#wanted;
    if (address === null) {
      this.#toHost(commandComplete(opcode, STATUS.disallowed));
      return;
    }
    this.#wanted = null;
    this.#toHost(commandComplete(opcode, STATUS.ok));
    this.#toHost(connectionComplete(STATUS.unknownConnection, 0, address));
  }

  /** Advertisements come in rounds while anybody listens. */
  #listen(): void {
    if (this.#cancelRound !== null || (!this.#scanning && this.#wanted === null)) return;
    this.#cancelRound = this.#air.after(this.#air.advertiseEveryMs, () => {
      this.#cancelRound = null;
      for (const peripheral of this.#air.peripherals) if (peripheral.isHeard) this.#hear(peripheral);
      this.#listen();
    });
  }

  #hear(peripheral: Peripheral): void {
    const { address, rssiDbm = -60 } = peripheral.plan;
    if (this.#scanning && !(this.#onlyOnce && this.#reported.has(address))) {
      this.#reported.add(address);
      const { body, response } = peripheral.advertisement();
      const type = peripheral.takesConnections ? REPORT.connectable : REPORT.notConnectable;
      this.#toHost(advertisingReport(type, address, body, rssiDbm));
      if (peripheral.takesConnections && response.length > 0) {
        this.#toHost(advertisingReport(REPORT.scanResponse, address, response, rssiDbm));
      }
    }
    if (this.#wanted === address && peripheral.takesConnections && peripheral.faults.deaf !== true)
      this.#hold(peripheral);
  }

  #hold(peripheral: Peripheral): void {
    this.#wanted = null;
    const { address } = peripheral.plan;
    if (peripheral.faults.refuses === true) {
      this.#toHost(connectionComplete(STATUS.notEstablished, 0, address));
      return;
    }
    this.#lastHandle = this.#lastHandle >= HANDLE_LIMIT ? 0x40 : this.#lastHandle + 1;
    const handle = this.#lastHandle;
    const connection = new Connection(handle, peripheral, {
      toHost: this.#toHost,
      fragmentBytes: FRAGMENT_BYTES,
      lost: reason => this.#end(handle, reason),
    });
    this.#connections.set(handle, connection);
    this.#toHost(connectionComplete(STATUS.ok, handle, address));
  }

  #end(handle: number, reason: number): void {
    const connection = this.#connections.get(handle);
    if (connection === undefined) return;
    this.#connections.delete(handle);
    connection.end();
    this.#toHost(disconnectionComplete(handle, reason));
  }
}
