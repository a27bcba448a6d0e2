import * as v from 'valibot';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { WattkeepError } from '#kit';
import { AimAnswer, DoneAnswer, ErrorAnswer, MarkAnswer, PROTOCOL_VERSION, WireAim } from '#messages';
import { aimMessage, aimTold, FIRST_MARK, nothingLearned } from '../support/aim-told.ts';
import { liveReading, type Stage, stageServer } from '../support/server-stage.ts';

let stage: Stage;
beforeEach(async () => {
  stage = await stageServer();
});
afterEach(() => stage.close());

const PATH = '/api/stations/shed';
const refusal = (body: string) => v.parse(ErrorAnswer, JSON.parse(body)).error;

describe('aiming over HTTP', () => {
  it('gives what is known of a station', async () => {
    const answer = await stage.get(`${PATH}/aim`);
    expect(answer.status).toBe(200);
    expect(v.parse(AimAnswer, JSON.parse(answer.body))).toEqual(nothingLearned('shed'));
    expect((await stage.get('/api/stations/attic/aim')).status).toBe(404);
  });

  it('marks, with a note or without, and answers with the mark', async () => {
    const answer = await stage.change('POST', `${PATH}/marks`, { note: '  by the stone ' });
    expect(v.parse(MarkAnswer, JSON.parse(answer.body))).toEqual({ mark: FIRST_MARK, why: 'ok' });
    await stage.change('POST', `${PATH}/marks`, {});
    await stage.change('POST', `${PATH}/marks`, { again: 1 });
    expect(stage.told.filter(([what]) => what === 'mark')).toEqual([
      ['mark', 'shed', { note: 'by the stone' }],
      ['mark', 'shed', {}],
      ['mark', 'shed', { again: 1 }],
    ]);
  });

  it.each([
    ['PUT', 'marks', { do: 'undo' }],
    ['PUT', 'marks', { do: 'walk' }],
    ['PUT', 'marks', { do: 'name', mark: 1, name: 'Step' }],
    ['PUT', 'marks', { do: 'note', mark: 1, note: '' }],
    ['POST', 'spots', { do: 'add', name: 'Step' }],
    ['POST', 'spots', { do: 'change', spot: 'step', tiltDeg: 26, azimuthDeg: null }],
    ['POST', 'spots', { do: 'stand', spot: null }],
    ['POST', 'spots', { do: 'carry', spot: 'fence' }],
    ['POST', 'spots', { do: 'remove', spot: 'fence' }],
  ])('hands a change on: %s %s %j', async (method, path, body) => {
    const answer = await stage.change(method, `${PATH}/${path}`, body);
    expect(v.parse(DoneAnswer, JSON.parse(answer.body))).toEqual({ done: true });
    expect(stage.told.at(-1)).toEqual([path, 'shed', body]);
  });

  it.each([
    ['POST', 'marks', { spot: 'step' }, 'spot'],
    ['POST', 'marks', { note: 'x'.repeat(401) }, 'note'],
    ['PUT', 'marks', { do: 'name', mark: 1, name: '   ' }, 'name'],
    ['PUT', 'marks', { do: 'name', mark: -1, name: 'Step' }, 'mark'],
    ['PUT', 'marks', { do: 'forget' }, 'do'],
    ['POST', 'spots', { do: 'change', spot: 'step', tiltDeg: 91 }, 'tiltDeg'],
    ['POST', 'spots', { do: 'stand', spot: 'The Step' }, 'spot'],
    ['POST', 'spots', { do: 'add', name: 'x'.repeat(41) }, 'name'],
  ])('refuses %s %s %j and names the field', async (method, path, body, field) => {
    const answer = await stage.change(method, `${PATH}/${path}`, body);
    expect(answer.status).toBe(400);
    expect(refusal(answer.body)).toMatchObject({ code: 'REQUEST_INVALID', path: field });
    expect(stage.told).toEqual([]);
  });

  it('asks for a session that may mark, and for the header of a change', async () => {
    expect((await stage.change('POST', `${PATH}/marks`, {}, { cookie: '' })).status).toBe(401);
    expect((await stage.change('PUT', `${PATH}/marks`, { do: 'undo' }, { 'x-wattkeep': '' })).status).toBe(403);
    expect(stage.told).toEqual([]);
    const { paths } = JSON.parse((await stage.get('/api/openapi.json')).body);
    const needs = ['marks', 'spots'].map(path => paths[`/api/stations/{station}/${path}`].post['x-needs']);
    expect([...needs, paths['/api/stations/{station}/marks'].put['x-needs']]).toEqual(['mark', 'mark', 'mark']);
    expect(paths['/api/stations/{station}/aim'].get['x-needs']).toBe('view');
  });
});

describe('a mark that cannot be saved', () => {
  it('is answered with what the disk says', async () => {
    const full = await stageServer({
      aim: {
        ...aimTold([]),
        mark() {
          throw new WattkeepError('DISK_FULL', 'The disk is full; nothing was saved.', 'Free some space.');
        },
      },
    });
    const answer = await full.change('POST', `${PATH}/marks`, {});
    expect([answer.status, refusal(answer.body).code]).toEqual([507, 'DISK_FULL']);
    await full.close();
  });
});

describe('aiming over the live socket', () => {
  /** A client greeted and subscribed; `aim`: the station whose aiming it wants as well. */
  async function subscribed(aim?: string) {
    const tap = stage.open();
    await tap.until(m => m.type === 'hello');
    const wanted = aim === undefined ? {} : { aim };
    const message = { type: 'subscribe', protocol: PROTOCOL_VERSION, stations: [], now: '2026-06-21T12:00:00.000Z' };
    tap.socket.send(JSON.stringify({ ...message, ...wanted }));
    await tap.until(m => m.type === 'status');
    return tap;
  }
  const aims = (tap: Awaited<ReturnType<typeof subscribed>>) => tap.got.filter(m => m.type === 'aim');

  it('comes at once to who asks, then as it is published, of that station only', async () => {
    const [looking, plain] = [await subscribed('shed'), await subscribed()];
    await looking.until(m => m.type === 'aim');
    expect([stage.server.aims('shed'), stage.server.aims('barn')]).toEqual([true, false]);
    stage.server.publish(aimMessage('barn'));
    stage.server.publish(aimMessage('shed', { sky: 'unsteady' }));
    stage.server.publish(liveReading(7));
    for (const tap of [looking, plain]) await tap.until(m => m.type === 'reading' && m.reading.seq === 7);
    expect(aims(looking).map(m => m.type === 'aim' && v.parse(WireAim, m.aim).sky)).toEqual(['steady', 'unsteady']);
    expect(aims(plain)).toEqual([]);
  });

  it('is replaced by what is newer while a client has not caught up', async () => {
    const tap = await subscribed('shed');
    for (let i = 0; i < 20; i++) stage.server.publish(liveReading(i));
    for (const at of ['10', '11', '12'])
      stage.server.publish(aimMessage('shed', { at: `2026-06-03T09:15:${at}.000Z` }));
    await tap.roundTrip();
    tap.ackAll();
    const last = await tap.until(m => m.type === 'aim' && m.aim.at === '2026-06-03T09:15:12.000Z');
    expect(last).toBeDefined();
    expect(aims(tap)).toHaveLength(2);
  });

  it('ends when the page subscribes without it, or leaves', async () => {
    const tap = await subscribed('shed');
    await tap.until(m => m.type === 'aim');
    tap.subscribe();
    await tap.roundTrip();
    expect(stage.server.aims('shed')).toBe(false);
    const other = await subscribed('shed');
    other.socket.close();
    await other.closed;
    await tap.roundTrip();
    expect(stage.server.aims('shed')).toBe(false);
  });
});
