/** Plan over HTTP: what it rests on, and the owner's list. */
import * as v from 'valibot';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { DoneAnswer, ErrorAnswer, PlanAnswer } from '#messages';
import { planned } from '../support/plans.ts';
import { type Stage, stageServer } from '../support/server-stage.ts';

let stage: Stage;
beforeAll(async () => {
  stage = await stageServer();
});
afterAll(() => stage.close());

const path = '/api/stations/shed/plan';

describe('planning', () => {
  it('tells what Plan rests on, of a station there is', async () => {
    const answer = await stage.get(path);
    expect(answer.status, answer.body).toBe(200);
    expect(v.parse(PlanAnswer, JSON.parse(answer.body))).toMatchObject({ station: 'shed', floorPct: 10 });
    expect((await stage.get('/api/stations/barn/plan')).status).toBe(404);
  });

  it('takes the whole list, what is left out as usual; it is a change and needs the header', async () => {
    const load = [planned('Chest freezer', 97, { startFactor: 7, hoursPerDay: 8.2, mustStayOn: true })];
    const done = await stage.change('POST', path, { load, outageReservePct: 40 });
    expect(v.parse(DoneAnswer, JSON.parse(done.body))).toEqual({ done: true });
    expect(stage.told.at(-1)).toEqual(['plan', 'shed', { load, dullDays: 1.5, outageReservePct: 40 }]);
    expect((await stage.change('POST', path, { load }, { 'x-wattkeep': '' })).status).toBe(403);
  });

  it('refuses what no load can be, and says where', async () => {
    for (const wrong of [{ startFactor: 0.5 }, { hoursPerDay: 25 }, { count: 0 }, { powerW: 0 }, { name: '' }]) {
      const answer = await stage.change('POST', path, { load: [{ name: 'Lamp', powerW: 10, ...wrong }] });
      expect(answer.status).toBe(400);
      const { error } = v.parse(ErrorAnswer, JSON.parse(answer.body));
      expect(error).toMatchObject({ path: expect.stringContaining(`load.0.${Object.keys(wrong)[0]}`) });
    }
  });
});
