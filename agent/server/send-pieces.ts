/**
 * A long answer, piece by piece at the pace of whoever takes it. Its length is not known before, so it goes out in chunks
 * (RFC 9112, 7.1): where it breaks off the last chunk is missing and the client knows that it does not have all.
 */
import { once } from 'node:events';
import type { ServerResponse } from 'node:http';
import type { Cancel, ServerClock } from './deps.ts';

export interface PiecesSent {
  readonly type: string;
  readonly body: AsyncIterator<Uint8Array>;
  readonly headers?: Readonly<Record<string, string>>;
}

export interface SendParts {
  readonly clock: Pick<ServerClock, 'after'>;
  /** Whoever takes nothing for so long is let go. */
  readonly stalledMs: number;
}

/**
 * Settles when all is handed on or the client has gone.
 *
 * @param headOnly the client asked for the head alone
 * @throws what the first piece throws, before anything was sent; later failures break the connection off, and are thrown
 */
export async function sendPieces(
  response: ServerResponse,
  { type, body, headers }: PiecesSent,
  { clock, stalledMs }: SendParts,
  headOnly = false,
): Promise<void> {
  // Who goes away while the first piece is being made gives it up.
  const giveUp = () => void body.return?.();
  response.once('close', giveUp);
  try {
    let step = await body.next();
    if (response.destroyed) return;
    response.writeHead(200, { 'Content-Type': type, ...headers });
    while (!headOnly && step.done !== true) {
      if (!response.write(step.value)) await drained(response, clock, stalledMs);
      if (response.destroyed) return;
      step = await body.next();
    }
    if (!response.destroyed) response.end();
  } catch (error) {
    if (response.headersSent) breakOff(response);
    throw error;
  } finally {
    response.off('close', giveUp);
    giveUp();
  }
}

/** HTTP/1.0 knows no chunks: there the end of the connection is that of the file, so it is reset. */
function breakOff(response: ServerResponse): void {
  if (response.req.httpVersion === '1.0') response.socket?.resetAndDestroy();
  response.destroy();
}

/** Waits until there is room again, or the client is gone. */
async function drained(response: ServerResponse, clock: SendParts['clock'], stalledMs: number): Promise<void> {
  const ended = new AbortController();
  const cancel: Cancel = clock.after(stalledMs, () => response.destroy());
  const { signal } = ended;
  await Promise.race([once(response, 'drain', { signal }), once(response, 'close', { signal })]).finally(() => {
    cancel();
    // The other one is waited for no more.
    ended.abort();
  });
}
