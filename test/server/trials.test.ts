/** Trials over HTTP: what may be asked, by whom, and that a report can do nothing. */
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type Stage, stageServer } from '../support/server-stage.ts';

let stage: Stage;
beforeAll(async () => {
  stage = await stageServer();
});
afterAll(() => stage.close());

const start = { station: 'shed', options: { kind: 'usable' } };

describe('trials over HTTP', () => {
  it('lists kinds and trials, of a station there is', async () => {
    expect(JSON.parse((await stage.get('/api/trials')).body)).toEqual({ kinds: [], notMeasurable: [], trials: [] });
    expect((await stage.get('/api/trials?station=shed')).status).toBe(200);
    expect((await stage.get('/api/trials?station=barn')).status).toBe(404);
  });

  it('starts and changes only with the header of a deliberate change, and checks what is asked', async () => {
    expect((await stage.change('POST', '/api/trials', start, { 'x-wattkeep': '' })).status).toBe(403);
    expect((await stage.change('POST', '/api/trials', { ...start, station: 'barn' })).status).toBe(404);
    for (const options of [
      { kind: 'surge' },
      { kind: 'charge' },
      { kind: 'usable', floorPct: 99 },
      { kind: 'usable', loud: 1 },
    ])
      expect((await stage.change('POST', '/api/trials', { ...start, options })).status).toBe(400);
    for (const change of [{ do: 'stop' }, { do: 'meter', energyWh: -1 }, { do: 'step', step: 'c' }])
      expect((await stage.change('PUT', '/api/trials/shed-usable-260601-abcdef', change)).status).toBe(400);
    expect((await stage.get('/api/trials/shed-usable-260601-abcdef')).body).toContain('There is no trial');
  });

  it('names one to eight trials side by side', async () => {
    const told = JSON.parse((await stage.get('/api/trials/compare?ids=a-1,b-2,c-3')).body) as object;
    expect(told).toEqual({ ids: ['a-1', 'b-2', 'c-3'] });
    for (const ids of ['', 'a,b,c,d,e,f,g,h,i', '../etc'])
      expect((await stage.get(`/api/trials/compare?ids=${encodeURIComponent(ids)}`)).status).toBe(400);
  });

  it('shows place and clock in a report only where they are chosen, and lets it run and send nothing', async () => {
    const plain = await stage.get('/api/trials/a-1/report');
    expect(JSON.parse(plain.body)).toEqual({ ids: ['a-1'], show: { large: false, place: false, clock: false } });
    expect(plain.headers['content-type']).toContain('text/html');
    expect(plain.headers['content-security-policy']).toContain("default-src 'none'");
    expect(plain.headers['content-security-policy']).toContain('sandbox');
    const all = await stage.get('/api/trials/report?ids=a-1,b-2&large&place=1&clock=1');
    expect(JSON.parse(all.body)).toMatchObject({
      ids: ['a-1', 'b-2'],
      show: { large: true, place: true, clock: true },
    });
  });

  it('draws a curve there is', async () => {
    const chart = await stage.get('/api/trials/chart?ids=a-1&of=wattsByHour');
    expect([chart.headers['content-type'], JSON.parse(chart.body)]).toEqual([
      'image/svg+xml',
      { ids: ['a-1'], axis: 'wattsByHour' },
    ]);
    expect((await stage.get('/api/trials/chart?ids=a-1&of=wattsByMoon')).status).toBe(400);
  });

  it('tells the first week and the years of a station there is', async () => {
    for (const path of ['first-week', 'years']) {
      expect(JSON.parse((await stage.get(`/api/stations/shed/${path}`)).body)).toEqual({ station: 'shed' });
      expect((await stage.get(`/api/stations/barn/${path}`)).status).toBe(404);
    }
  });
});
