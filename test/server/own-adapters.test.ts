import * as v from 'valibot';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { OwnAdaptersAnswer } from '#messages';
import { type Stage, stageServer } from '../support/server-stage.ts';

let stage: Stage;
beforeEach(async () => {
  stage = await stageServer();
});
afterEach(() => stage.close());

const SHOWN = { file: 'bee-box.ts', sha256: 'ab'.repeat(32) };
const approved = () => stage.told.filter(([what]) => what === 'approveAdapter');

describe('approving an adapter over HTTP', () => {
  it('is told of with exactly the file that was shown', async () => {
    const { status, body } = await stage.change('POST', '/api/own-adapters/approve', SHOWN);
    expect([status, JSON.parse(body)]).toEqual([200, { done: true }]);
    expect(approved()).toEqual([['approveAdapter', SHOWN]]);
  });

  it.each([
    ['without a hash', { file: 'bee-box.ts' }],
    ['with a part of one', { ...SHOWN, sha256: 'ab' }],
    ['without a file', { sha256: SHOWN.sha256, file: '' }],
    ['with something more', { ...SHOWN, all: true }],
  ])('is refused %s', async (_, body) => {
    expect((await stage.change('POST', '/api/own-adapters/approve', body)).status).toBe(400);
    expect(approved()).toEqual([]);
  });

  it.each([
    ['from another page', { origin: 'http://evil.test' }],
    ['without the header of a change', { 'x-wattkeep': '' }],
    ['as a form', { 'content-type': 'text/plain' }],
  ])('is refused %s', async (_, headers) => {
    const { status } = await stage.change('POST', '/api/own-adapters/approve', SHOWN, headers);
    expect([403, 415]).toContain(status);
    expect(approved()).toEqual([]);
  });

  it('is never done by reading', async () => {
    const { status, headers } = await stage.get('/api/own-adapters/approve');
    expect([status, headers.allow]).toEqual([405, 'POST']);
  });
});

it('the list tells the folder and how far adapters are contained', async () => {
  const { body } = await stage.get('/api/own-adapters');
  expect(v.parse(OwnAdaptersAnswer, JSON.parse(body))).toMatchObject({
    containment: { level: expect.any(Number) },
    adapters: [],
  });
});
