/**
 * Which raw blocks may go. Pure. Whole UTC days go together, so that their seals are renewed once and not every hour;
 * what proves something stays, and so does a station's newest block, which is how its record ends.
 */

const DAY_MS = 86_400_000;
/** Rows looked through in one piece: an hour at 50 a second takes some 60 ms. */
const PIECE_ROWS = 100_000;

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
  /** All of one UTC day; at least one of what may go, unless there is none. */
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
    if (!sameDay || (go.length > 0 && rows + block.count > PIECE_ROWS)) return { go, looked: index };
    go.push(block);
    rows += block.count;
  }
  return { go, looked: blocks.length };
}
