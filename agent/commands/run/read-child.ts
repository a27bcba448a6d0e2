/**
 * Entry file of the process that reads the record beside the agent: questions come on stdin, answers go out on stdout in
 * pieces, each made when it is wanted; several answers take turns. It ends with its stdin, so never outlives the agent.
 */
import { constants, getPriority, setPriority } from 'node:os';
import { failureOf } from './reading/failed.ts';
import { encodeFrame, encodeJson, frameParser, KIND, MAX_PIECE_BYTES, QUIET } from './reading/frames.ts';
import type { ReadOrder } from './reading/order.ts';
import { type Pieces, piecesOf } from './reading/pieces.ts';
import { type Lent, recordShelf } from './reading/shelf.ts';

interface Answer {
  lent: Lent;
  pieces: Pieces;
  /** Pieces that are wanted and not made yet. */
  wanted: number;
  /** One is being made. */
  busy: boolean;
  /** What is left of a piece that was too large for one frame. */
  rest: Uint8Array | null;
}

const answers = new Map<number, Answer>();
const borrow = recordShelf();
const send = (frame: Buffer) => void process.stdout.write(frame);

function begin(ask: number, order: ReadOrder): void {
  let lent: Lent | undefined;
  try {
    lent = borrow(order);
    answers.set(ask, { lent, pieces: piecesOf(lent.record, order), wanted: 0, busy: false, rest: null });
  } catch (error) {
    lent?.giveBack();
    send(encodeJson(KIND.failed, ask, failureOf(error)));
  }
}

/** It is not answered any further. */
function over(ask: number, answer: Answer): void {
  answers.delete(ask);
  answer.lent.giveBack();
}

/** Makes one piece, then lets others have their turn. */
async function turn(ask: number, answer: Answer): Promise<void> {
  answer.busy = true;
  try {
    const { piece, done } = await nextOf(answer);
    // Stopped meanwhile.
    if (answers.get(ask) !== answer) return;
    if (done) {
      over(ask, answer);
      send(encodeFrame(KIND.end, ask));
    } else if (piece === null) send(encodeFrame(KIND.atWork, ask));
    else {
      answer.wanted--;
      send(encodeFrame(KIND.piece, ask, piece));
    }
  } catch (error) {
    if (answers.get(ask) !== answer) return;
    over(ask, answer);
    send(encodeJson(KIND.failed, ask, failureOf(error)));
  }
  answer.busy = false;
  goOn(ask);
}

async function nextOf(answer: Answer): Promise<{ piece: Uint8Array | null; done: boolean }> {
  let whole = answer.rest;
  if (whole === null) {
    const step = await answer.pieces.next();
    if (step.done === true) return { piece: null, done: true };
    whole = step.value;
  }
  if (whole === null) return { piece: null, done: false };
  answer.rest = whole.length > MAX_PIECE_BYTES ? whole.subarray(MAX_PIECE_BYTES) : null;
  return { piece: whole.subarray(0, MAX_PIECE_BYTES), done: false };
}

function goOn(ask: number): void {
  const answer = answers.get(ask);
  if (answer === undefined || answer.busy || answer.wanted === 0) return;
  answer.busy = true;
  setImmediate(() => void turn(ask, answer));
}

const parse = frameParser((kind, ask, payload) => {
  const answer = answers.get(ask);
  if (kind === KIND.ask) begin(ask, JSON.parse(payload.toString()) as ReadOrder);
  else if (kind === KIND.more && answer !== undefined) {
    answer.wanted++;
    goOn(ask);
  } else if (kind === KIND.stop && answer !== undefined) {
    over(ask, answer);
    void answer.pieces.return?.();
  }
});

// Started further below already, it may not come up.
const { PRIORITY_BELOW_NORMAL } = constants.priority;
if (process.argv.includes(QUIET) && getPriority() < PRIORITY_BELOW_NORMAL) setPriority(PRIORITY_BELOW_NORMAL);
process.stdin.on('data', parse);
process.stdin.on('end', () => process.exit());
// The agent is gone.
process.stdout.on('error', () => process.exit());
