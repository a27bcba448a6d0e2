/**
 * Which raw blocks may go. Pure. What may go is cut at UTC days, so that seals are renewed once a day and not every hour;
 * what proves something stays, and so does a station's newest block, which is how its record ends.
 */

const DAY_MS = 86_400_000;
/** Blocks and rows looked through in one piece, unless one block has more: some ten milliseconds. */
const PIECE_BLOCKS = 8;
const PIECE_ROWS = 20_000;

/** A block without its body; instants are of its first and its last reading. */
export interface RawBlock {
  id: number;
  fromAt: number;
  toAt: number;
  count: number;
}

export interface Span {
  fromMs: number;
  toMs: number;
}

/** What ended before this instant may go; null: everything is kept for ever. */
export function cutOf(nowMs: number, keepRawDays: number | null): number | null {
  return keepRawDays === null ? null : Math.floor(nowMs / DAY_MS - keepRawDays) * DAY_MS;
}

export interface Piece {
  /** All of one UTC day, in order; at least one of what may go, unless there is none. */
  go: RawBlock[];
  /** Blocks looked at: the next piece begins behind the last of them. */
  looked: number;
}

/** @param blocks in order of time @param newestId the station's newest block */
export function planPiece(
  blocks: readonly RawBlock[],
  cutMs: number,
  spared: readonly Span[],
  newestId: number,
): Piece {
  const go: RawBlock[] = [];
  let rows = 0;
  const stays = ({ id, fromAt, toAt }: RawBlock) =>
    toAt >= cutMs || id === newestId || spared.some(span => span.fromMs <= toAt && span.toMs > fromAt);
  for (const [index, block] of blocks.entries()) {
    if (stays(block)) continue;
    const sameDay = go.length === 0 || Math.floor(go[0]!.fromAt / DAY_MS) === Math.floor(block.fromAt / DAY_MS);
    const isFull = go.length >= PIECE_BLOCKS || (go.length > 0 && rows + block.count > PIECE_ROWS);
    if (!sameDay || isFull) return { go, looked: index };
    go.push(block);
    rows += block.count;
  }
  return { go, looked: blocks.length };
}
