/**
 * The honey shed as a SunSpec device at the end of a line that a test's own clock drives: the adapter as the agent runs
 * it, the simulator's device, and between them a line with a speed and faults.
 */
import type { Adapter, DecodedReading } from '#kit';
import { openChannel } from '../../agent/host/channels.ts';
import type { RejectionCounts } from '../../agent/host/contract.ts';
import { sunspecModbus, sunspecTcp } from '../../protocol-adapters/sunspec-modbus/index.ts';
import { composeFaults, type Fault } from '../../simulators/faults.ts';
import { createShed, shedFacts } from '../../simulators/honey-shed.ts';
import { answerPdu } from '../../simulators/wire/modbus/answer.ts';
import { createDevice } from '../../simulators/wire/modbus/device.ts';
import type { Make } from '../../simulators/wire/modbus/models.ts';
import { characterMs, rtuSide } from '../../simulators/wire/modbus/rtu-side.ts';
import { tcpSide } from '../../simulators/wire/modbus/tcp-side.ts';
import { handClock } from './hand-clock.ts';

const NOON = Date.UTC(2026, 5, 21, 12);
const PLACE = { latitudeDeg: 34.6, longitudeDeg: 0 };

export interface LineOptions {
  readonly framing?: 'rtu' | 'tcp';
  readonly make?: Make;
  readonly unit?: number;
  readonly base?: number;
  readonly baud?: number;
  readonly faults?: readonly Fault[];
  readonly mains?: boolean;
  readonly startPct?: number;
  /** Holds these registers instead of the plant's. */
  readonly words?: (monoMs: number) => Uint16Array;
}

export function modbusLine(options: LineOptions = {}) {
  const { framing = 'rtu', make = '701', unit = 1, base = 40_000, baud = 115_200, mains = false } = options;
  const clock = handClock(NOON);
  const shed = { ...PLACE, seed: 5, zone: 'UTC', startMs: NOON - 60_000, startPct: options.startPct ?? 64, mains };
  const plant = createShed(shed);
  plant.step(NOON);
  const catchUp = (): void => plant.step(NOON + clock.monoMs());
  const device = createDevice(plant, catchUp, { make, unit, base, ratedWh: shedFacts(PLACE).pack.ratedWh });
  const faults: Fault[] = [...(options.faults ?? [])];
  const readings: { at: number; reading: DecodedReading }[] = [];
  const rejected: RejectionCounts = {};
  const details: string[] = [];
  const asked: { at: number; bytes: Uint8Array }[] = [];
  /** Questions and their replies as they left, before any fault. */
  const exchanges: { asked: Uint8Array; reply: Uint8Array }[] = [];
  let pulled = false;

  const adapter: Adapter = framing === 'rtu' ? sunspecModbus : sunspecTcp;
  const arrive = (bytes: Uint8Array): void => {
    if (pulled) return;
    // A driver hands over what it has, whenever it likes.
    const cut = Math.min(bytes.length, 1 + (bytes.length % 7));
    channel.feed(bytes.subarray(0, cut), 0);
    channel.feed(bytes.subarray(cut), 0);
  };
  const leave = (frame: Uint8Array): void => {
    exchanges.push({ asked: asked.at(-1)!.bytes, reply: frame });
    for (const piece of composeFaults(faults)({ bytes: frame, afterMs: 0 }, clock.monoMs())) {
      const onWireMs = framing === 'rtu' ? piece.bytes.length * characterMs(baud) : 0;
      clock.after(piece.afterMs + onWireMs, () => arrive(piece.bytes));
    }
  };
  const timing = { nowMs: clock.monoMs, after: clock.after };
  const answer = (pdu: Uint8Array) =>
    options.words === undefined ? device.answer(pdu) : answerPdu(pdu, { base, words: options.words(clock.monoMs()) });
  const ear = framing === 'rtu' ? rtuSide({ unit, baud, timing, answer }, leave) : tcpSide({ unit, answer }, leave);
  const channel = openChannel(0, adapter, {
    monoMs: clock.monoMs,
    timers: clock,
    output: {
      reading: (_, reading) => readings.push({ at: clock.monoMs(), reading }),
      rejected(_, counts, detail) {
        for (const [cause, count] of Object.entries(counts) as [keyof RejectionCounts, number][]) {
          rejected[cause] = (rejected[cause] ?? 0) + count;
        }
        details.push(detail);
      },
      send(_, __, message) {
        asked.push({ at: clock.monoMs(), bytes: message.slice() });
        if (!pulled) ear(message.slice());
      },
      read: () => undefined,
    },
  });
  return {
    clock,
    plant,
    device,
    faults,
    readings,
    rejected,
    details,
    asked,
    exchanges,
    feed: (bytes: Uint8Array) => channel.feed(bytes, 0),
    pull: (out: boolean) => {
      pulled = out;
    },
    last: () => readings.at(-1)?.reading,
    end: () => channel.end(),
  };
}
