import { afterEach, describe, expect, it } from 'vitest';
import type { ReadingDoor } from '../../agent/server/deps.ts';
import { type Stage, stageServer } from '../support/server-stage.ts';

const PATH = '/api/stations/shed/ledger?from=2026-05-01&to=2026-05-31';

let stage: Stage;
afterEach(() => stage.close());

describe('an answer of the Ledger that has a tag', () => {
  it('is not sent again to one who has it, and not even begun', async () => {
    const happened: string[] = [];
    let tag: string | null = 'one';
    const reading = {
      ledger: () => {
        const body = {
          begun: false,
          async next() {
            if (this.begun) return { done: true as const, value: undefined };
            this.begun = true;
            happened.push('begun');
            return { done: false as const, value: Buffer.from('{"station":"shed"}') };
          },
          async return() {
            happened.push('given up');
            return { done: true as const, value: undefined };
          },
        };
        return { tag, body };
      },
    } satisfies Partial<ReadingDoor>;
    stage = await stageServer({ reading: reading as unknown as ReadingDoor });
    const first = await stage.get(PATH);
    expect([first.status, first.body]).toEqual([200, '{"station":"shed"}']);
    expect(first.headers).toMatchObject({ etag: '"one"', 'cache-control': 'private, no-cache' });
    happened.length = 0;
    const again = await stage.get(PATH, { 'if-none-match': '"one"' });
    expect([again.status, again.body, happened]).toEqual([304, '', ['given up']]);
    expect(again.headers).toMatchObject({ etag: '"one"', 'cache-control': 'private, no-cache' });
    tag = 'two';
    expect(await stage.get(PATH, { 'if-none-match': '"one"' })).toMatchObject({ status: 200 });
    tag = null;
    const untold = await stage.get(PATH, { 'if-none-match': '"two"' });
    expect([untold.status, untold.headers.etag, untold.headers['cache-control']]).toEqual([200, undefined, 'no-store']);
  });
});
