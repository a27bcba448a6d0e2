/**
 * Entry file of the process that looks ahead beside the agent: orders come on stdin, answers go out on stdout in the order
 * of the questions. What a station's past holds it reads from the record itself. It ends with its stdin, so never outlives
 * the agent.
 */
import { type OpenedRecord, openRecord } from '../../store/open.ts';
import { createEngines } from './foresight/engines.ts';
import { type ForesightOrder, MAX_ORDER_BYTES } from './foresight/orders.ts';
import { failureOf } from './reading/failed.ts';
import { encodeFrame, encodeJson, frameParser, KIND } from './reading/frames.ts';

type SeatOrder = Extract<ForesightOrder, { act: 'seat' }>;

const engines = createEngines();
/** Open while stations come, one after the other. */
let past: { dir: string; record: OpenedRecord } | null = null;

const send = (frame: Buffer) => void process.stdout.write(frame);
const pause = () => new Promise<void>(done => void setImmediate(done));

function pastOf({ dir, demo, nowMs }: SeatOrder): OpenedRecord | null {
  if (past?.dir === dir) return past.record;
  closePast();
  try {
    past = { dir, record: openRecord(dir, { nowMs: () => nowMs, commitIntervalMs: 0, readOnly: true, demo }) };
    return past.record;
  } catch (error) {
    send(encodeJson(KIND.failed, 0, failureOf(error)));
    return null;
  }
}

function closePast(): void {
  past?.record.close();
  past = null;
}

function seat(order: SeatOrder): void {
  const { station, facts, nowMs } = order;
  try {
    engines.seat(station, facts, pastOf(order), nowMs);
  } catch (error) {
    // What is to come is looked ahead of without its past.
    send(encodeJson(KIND.failed, 0, failureOf(error)));
    engines.seat(station, facts, null, nowMs);
  }
}

/** What is answered to an order; undefined where nothing is to be. */
function follow(order: ForesightOrder): unknown {
  if (order.act !== 'seat') closePast();
  switch (order.act) {
    case 'seat':
      return seat(order);
    case 'leave':
      return engines.leave(order.station);
    case 'facts':
      return engines.setFacts(order.station, order.facts);
    case 'readings':
      for (const [station, told] of order.readings) engines.add(station, told);
      return undefined;
    case 'ahead':
      return engines.ahead(order.station, order.atMs);
    case 'outlast':
      return engines.outlast(order.order, pause);
    case 'planKnown':
      return engines.planKnown(order.station, order.atMs);
    case 'learned':
      return engines.learned(order.station);
  }
}

async function hear(ask: number, order: ForesightOrder): Promise<void> {
  try {
    const found = follow(order);
    if (ask === 0) return;
    // Those that take no time are answered before the next order is looked at.
    const answer = found instanceof Promise ? await found : found;
    if (answer === null) send(encodeFrame(KIND.end, ask));
    else send(encodeJson(KIND.piece, ask, answer));
  } catch (error) {
    send(encodeJson(KIND.failed, ask, failureOf(error)));
  }
}

// What is meant for the agent: it asks what was learned before it ends.
for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP'] as const) process.on(signal, () => undefined);
process.stdin.on(
  'data',
  frameParser((_, ask, payload) => void hear(ask, JSON.parse(payload.toString()) as ForesightOrder), MAX_ORDER_BYTES),
);
process.stdin.on('end', () => process.exit());
// The agent is gone.
process.stdout.on('error', () => process.exit());
