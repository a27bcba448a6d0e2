/**
 * Puts a SunSpec device on a cable: RTU where it is a serial line, Modbus TCP on a network port. Every reply passes
 * through the faults in force; while the plant is hushed it answers nothing.
 */
import { type Running, through } from './control.ts';
import type { Piece } from './faults.ts';
import type { SendBytes, Timing } from './wire/cable.ts';
import type { SunspecDevice } from './wire/modbus/device.ts';
import { rtuSide } from './wire/modbus/rtu-side.ts';
import { tcpSide } from './wire/modbus/tcp-side.ts';

export interface ServeOptions {
  readonly device: SunspecDevice;
  /** Null: a network port. */
  readonly baud: number | null;
  readonly timing: Timing;
  /** Sends pieces by `send` when their time comes. */
  readonly emitBy: (send: SendBytes) => (pieces: readonly Piece[]) => void;
}

/** Answers from now on. The last reply becomes the running simulator's frame. */
export function serveSunspec(run: Running, { device, baud, timing, emitBy }: ServeOptions): void {
  const { unit } = device;
  const answer = (pdu: Uint8Array) => device.answer(pdu);
  run.cable.hear(send => {
    const emit = emitBy(send);
    const reply = (frame: Uint8Array): void => {
      run.frame = () => frame;
      if (!run.hushed) emit(through(run, frame, timing.nowMs()));
    };
    return baud === null ? tcpSide({ unit, answer }, reply) : rtuSide({ unit, baud, timing, answer }, reply);
  });
}
