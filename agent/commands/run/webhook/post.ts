/**
 * One POST to the owner's own address: http or https alone, five seconds in all, nothing followed, certificates always
 * checked, and no more than a little of the answer read. Signed by HMAC-SHA-256 over the body's bytes.
 */
import { createHmac } from 'node:crypto';
import type { ClientRequest, IncomingMessage, RequestOptions } from 'node:http';
import type { Timers } from '#kit';
import { EVENT_TYPE } from './event.ts';

export const ANSWER_WITHIN_MS = 5_000;
const ANSWER_BYTES = 16_384;
const HEADER_BYTES = 8_192;

export const SIGNATURE_HEADER = 'x-wattkeep-signature';
export const signatureOf = (body: string, secret: string): string =>
  `sha256=${createHmac('sha256', secret).update(body).digest('hex')}`;

export interface Letter {
  readonly url: string;
  readonly secret: string;
  readonly body: string;
  readonly userAgent: string;
}

/** @returns null where it was taken (2xx), else why not, in words without the address and the secret */
export async function post(
  { url, secret, body, userAgent }: Letter,
  timers: Timers,
  signal: AbortSignal,
): Promise<string | null> {
  if (!URL.canParse(url)) return 'its address cannot be read';
  const to = new URL(url);
  const request = await requesterOf(to.protocol);
  if (request === null) return `its address begins with ${to.protocol}, not with http: or https:`;
  const bytes = Buffer.from(body);
  const options: RequestOptions & { rejectUnauthorized: boolean; minVersion: 'TLSv1.2' } = {
    method: 'POST',
    // Nothing is kept open between two alarms.
    agent: false,
    signal,
    maxHeaderSize: HEADER_BYTES,
    // Whatever the environment says.
    rejectUnauthorized: true,
    minVersion: 'TLSv1.2',
    headers: {
      'Content-Type': EVENT_TYPE,
      'Content-Length': bytes.length,
      'User-Agent': userAgent,
      [SIGNATURE_HEADER]: signatureOf(body, secret),
      Connection: 'close',
    },
  };
  return new Promise(resolve => {
    const sent: ClientRequest = request(to, options);
    let late: string | null = `no answer within ${ANSWER_WITHIN_MS / 1000} s`;
    const stopWaiting = timers.after(ANSWER_WITHIN_MS, () => finish(late));
    const finish = (why: string | null) => {
      stopWaiting();
      resolve(why);
      sent.destroy();
    };
    // After `finish` there is nobody to tell.
    sent.on('error', (error: NodeJS.ErrnoException) => finish(error.code ?? error.name));
    sent.on('response', answer => {
      late = whyNot(answer.statusCode ?? 0);
      readLittle(answer, late, finish);
    });
    sent.end(bytes);
  });
}

/** The status alone counts; the body is read so that the other side can end, up to a limit. */
function readLittle(answer: IncomingMessage, why: string | null, finish: (why: string | null) => void): void {
  let bytes = 0;
  answer.on('data', (chunk: Buffer) => {
    bytes += chunk.length;
    if (bytes > ANSWER_BYTES) finish(why);
  });
  answer.on('end', () => finish(why));
  answer.on('error', () => finish(why));
}

function whyNot(status: number): string | null {
  if (status >= 200 && status < 300) return null;
  if (status >= 300 && status < 400) return `answered ${status}; it is not followed elsewhere`;
  return `answered ${status}`;
}

async function requesterOf(protocol: string) {
  if (protocol === 'http:') return (await import('node:http')).request;
  // Not loaded where nobody needs it.
  if (protocol === 'https:') return (await import('node:https')).request;
  return null;
}
