/** Reads a change's body: at most `maxBytes`, valid UTF-8, JSON, and exactly what the schema says. */
import type { IncomingMessage } from 'node:http';
import * as v from 'valibot';
import { RequestFailure } from './failure.ts';

/** @throws RequestFailure 413, or 400 with the place of the first thing that is wrong */
export async function readBody(request: IncomingMessage, schema: v.GenericSchema, maxBytes: number): Promise<unknown> {
  const text = decode(await collect(request, maxBytes));
  return check(parse(text), schema);
}

async function collect(request: IncomingMessage, maxBytes: number): Promise<Buffer> {
  const tooLarge = () =>
    new RequestFailure(413, `The body is longer than ${maxBytes} bytes.`, `Send at most ${maxBytes} bytes.`);
  if (Number(request.headers['content-length'] ?? 0) > maxBytes) throw tooLarge();
  const chunks: Buffer[] = [];
  let bytes = 0;
  // Leaving the loop must not close the connection: the refusal still has to go out.
  for await (const chunk of request.iterator({ destroyOnReturn: false }) as AsyncIterable<Buffer>) {
    bytes += chunk.length;
    if (bytes > maxBytes) throw tooLarge();
    chunks.push(chunk);
  }
  return Buffer.concat(chunks);
}

function decode(bytes: Buffer): string {
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(bytes);
  } catch (cause) {
    if (cause instanceof TypeError) throw new RequestFailure(400, 'The body is not UTF-8.', 'Send JSON in UTF-8.');
    throw cause;
  }
}

function parse(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch (cause) {
    if (cause instanceof SyntaxError) throw new RequestFailure(400, 'The body is not JSON.', 'Send JSON.');
    throw cause;
  }
}

function check(value: unknown, schema: v.GenericSchema): unknown {
  const result = v.safeParse(schema, value);
  if (result.success) return result.output;
  const issue = result.issues[0];
  const path = v.getDotPath(issue) ?? undefined;
  const where = path === undefined ? 'The body' : `The value at ${path}`;
  throw new RequestFailure(400, `${where} is not right: ${issue.message}.`, 'Correct it and send it again.', path);
}
