import * as v from 'valibot';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { ErrorAnswer, type LedgerDayAnswer } from '#messages';
import type { DayDoor } from '../../agent/server/deps.ts';
import { RequestFailure } from '../../agent/server/failure.ts';
import { type Stage, stageServer } from '../support/server-stage.ts';

const PATH = '/api/stations/shed';
const DAY: LedgerDayAnswer = {
  station: 'shed',
  zone: 'Europe/Lisbon',
  date: '2026-06-21',
  today: '2026-06-21',
  startAt: '2026-06-20T23:00:00.000Z',
  endAt: '2026-06-21T23:00:00.000Z',
  day: null,
  previous: null,
  next: null,
  nights: null,
  clearSky: null,
  outages: [],
  spans: [],
  lasting: [],
  marks: [],
  notes: [],
};
const told: unknown[][] = [];
const days: DayDoor = {
  day: async (_station, date) => ({ ...DAY, date }),
  async spans(station, fromMs, toMs) {
    told.push(['asked', fromMs, toMs]);
    return { station, spans: [] };
  },
  changeNote: async (station, change) => void told.push(['notes', station, change]),
  async changeSpan(station, change) {
    if (change.do === 'begin') throw new RequestFailure(400, 'It overlaps “lent”.', 'Choose other times.', 'fromAt');
    told.push(['spans', station, change]);
  },
  facts: async station => ({ station, zone: 'Europe/Lisbon', facts: [] }),
  moveFact: async () => ({ done: true, fromDate: '', toDate: '', days: 0, wasJson: null, becomesJson: null }),
};

let stage: Stage;
beforeEach(async () => {
  told.length = 0;
  stage = await stageServer({ days });
});
afterEach(() => stage.close());
const refusal = (body: string) => v.parse(ErrorAnswer, JSON.parse(body)).error;

describe('a day over HTTP', () => {
  it('is asked for by its date, which has to be one', async () => {
    expect(JSON.parse((await stage.get(`${PATH}/day?date=2026-06-21`)).body)).toEqual(DAY);
    for (const query of ['', '?date=2026-02-30', '?date=today']) {
      const answer = await stage.get(`${PATH}/day${query}`);
      expect([answer.status, refusal(answer.body).message]).toEqual([400, 'The parameter date is not a date.']);
    }
    expect((await stage.get('/api/stations/attic/day?date=2026-06-21')).status).toBe(404);
  });

  it('is asked for its spans by instants', async () => {
    const answer = await stage.get(`${PATH}/spans?from=2026-06-21T00:00:00Z&to=2026-06-22T00:00:00Z`);
    expect(JSON.parse(answer.body)).toEqual({ station: 'shed', spans: [] });
    expect(told).toEqual([['asked', Date.UTC(2026, 5, 21), Date.UTC(2026, 5, 22)]]);
    expect((await stage.get(`${PATH}/spans`)).status).toBe(400);
  });

  it.each([
    ['notes', { do: 'write', date: '2026-06-21', text: ' The first swarm. ' }, { text: 'The first swarm.' }],
    ['notes', { do: 'remove', note: 1 }, {}],
    ['spans', { do: 'add', reason: 'lent', fromAt: '2026-06-21T09:00:00+01:00', toAt: null }, { note: '' }],
  ])('hands on what is told of it: %s %j', async (path, body, also) => {
    expect((await stage.change('POST', `${PATH}/${path}`, body)).status).toBe(200);
    expect(told).toEqual([[path, 'shed', { ...body, ...also }]]);
  });

  it.each([
    ['notes', { do: 'write', date: '2026-06-21', text: '  ' }, 'text'],
    ['notes', { do: 'write', date: '2026-06-31', text: 'x' }, 'date'],
    ['notes', { do: 'write', date: '2026-06-21', at: '2026-06-21T09:00:00', text: 'x' }, 'at'],
    ['spans', { do: 'begin', reason: 'agentDown' }, 'reason'],
    ['spans', { do: 'begin', reason: 'lent' }, 'fromAt'],
    ['facts', { key: 'zone', validFromAt: '2026-06-21T09:00:00Z', date: '2026-06-01' }, 'key'],
  ])('refuses %s %j and names the field', async (path, body, field) => {
    const answer = await stage.change('POST', `${PATH}/${path}`, body);
    expect([answer.status, refusal(answer.body).path]).toEqual([400, field]);
    expect(told).toEqual([]);
  });

  it('asks for a session that may mark; for facts, one that may change', async () => {
    const { paths } = JSON.parse((await stage.get('/api/openapi.json')).body);
    const needs = ['notes', 'spans', 'facts'].map(path => paths[`/api/stations/{station}/${path}`].post['x-needs']);
    expect(needs).toEqual(['mark', 'mark', 'change']);
    expect((await stage.change('POST', `${PATH}/notes`, { do: 'remove', note: 1 }, { cookie: '' })).status).toBe(401);
  });
});
