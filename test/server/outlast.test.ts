import * as v from 'valibot';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { DoneAnswer, ErrorAnswer, JudgingAnswer, OutlastAnswer } from '#messages';
import { type Stage, stageServer } from '../support/server-stage.ts';

let stage: Stage;
beforeAll(async () => {
  stage = await stageServer();
});
afterAll(() => stage.close());

const HOUR = 3_600_000;
const ahead = (hours: number) => new Date(stage.clock.now() + hours * HOUR).toISOString();
const path = (query: string) => `/api/stations/shed/outlast?${query}`;
const refusal = (body: string) => v.parse(ErrorAnswer, JSON.parse(body)).error;

describe('asking whether it lasts', () => {
  it('hands on what was asked, with what was left out as usual', async () => {
    const answer = await stage.get(path(`until=${ahead(9)}`));
    expect(answer.status, answer.body).toBe(200);
    expect(v.parse(OutlastAnswer, JSON.parse(answer.body)).station).toBe('shed');
    expect(stage.told.at(-1)).toEqual([
      'outlast',
      'shed',
      {
        untilAt: stage.clock.now() + 9 * HOUR,
        floorPct: undefined,
        skies: [],
        sourceW: { generator: null, vehicle: null, wall: null },
        with: undefined,
      },
    ]);
  });

  it('takes a floor, the sky of each day and the watts of what could be added', async () => {
    const query = `until=${ahead(30)}&floor=20&skies=good,open,poor&generatorW=720&wallW=1800`;
    expect((await stage.get(path(query))).status).toBe(200);
    expect(stage.told.at(-1)?.[2]).toMatchObject({
      floorPct: 20,
      skies: ['good', null, 'poor'],
      sourceW: { generator: 720, vehicle: null, wall: 1800 },
    });
  });

  it.each([
    ['nothing', ''],
    ['a time that is past', 'until=2001-01-01T00:00:00Z'],
    ['a time beyond what is looked at', 'until=2100-01-01T00:00:00Z'],
    ['a floor above all', 'floor=95'],
    ['a sky nobody knows', 'skies=purple'],
    ['too many skies', 'skies=good,good,good,good,good,good,good,good'],
    ['watts that are none', 'generatorW=lots'],
    ['itself as the other station', 'with=shed'],
    ['a parameter nobody knows', 'colour=red'],
  ])('refuses %s, and says what it takes', async (_, query) => {
    const answer = await stage.get(
      path(query.includes('until') || query === '' ? query : `until=${ahead(5)}&${query}`),
    );
    expect(answer.status).toBe(400);
    expect(refusal(answer.body).fix).not.toBe('');
  });

  it('knows no station that is not there, neither the one nor the other', async () => {
    expect((await stage.get(`/api/stations/attic/outlast?until=${ahead(5)}`)).status).toBe(404);
    expect((await stage.get(path(`until=${ahead(5)}&with=attic`))).status).toBe(404);
  });
});

describe('asking how right earlier answers were', () => {
  const judging = '/api/stations/shed/judging';

  it('begins by a change, which needs the header, and tells how far it has come', async () => {
    const begun = await stage.change('POST', judging, {});
    expect(begun.status, begun.body).toBe(200);
    expect(stage.told.at(-1)).toEqual(['judge', 'shed']);
    expect((await stage.change('POST', judging, {}, { 'x-wattkeep': '' })).status).toBe(403);
    const answer = v.parse(JudgingAnswer, JSON.parse((await stage.get(judging)).body));
    expect(answer).toEqual({ state: 'running', share: 0.25, judged: null });
  });

  it('knows no station that is not there', async () => {
    expect((await stage.get('/api/stations/attic/judging')).status).toBe(404);
  });
});

describe('naming what is plugged in', () => {
  const load = [{ name: 'Chest freezer', powerW: 97, mustStayOn: true }];

  it('is a change: it needs the header, and hands on the whole list', async () => {
    const done = await stage.change('POST', '/api/stations/shed/loads', { load });
    expect(v.parse(DoneAnswer, JSON.parse(done.body))).toEqual({ done: true });
    expect(stage.told.at(-1)).toEqual(['loads', 'shed', load]);
    expect((await stage.change('POST', '/api/stations/shed/loads', { load }, { 'x-wattkeep': '' })).status).toBe(403);
  });

  it('refuses a load without a name or without watts, and says where', async () => {
    for (const wrong of [{ name: '', powerW: 10 }, { name: 'Lamp', powerW: 0 }, { name: 'Lamp' }]) {
      const answer = await stage.change('POST', '/api/stations/shed/loads', { load: [wrong] });
      expect(answer.status).toBe(400);
      expect(refusal(answer.body)).toMatchObject({ path: expect.stringContaining('load.0') });
    }
  });
});
