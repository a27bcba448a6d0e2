import * as v from 'valibot';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { WattkeepError } from '#kit';
import {
  AdaptersAnswer,
  DaysAnswer,
  DoneAnswer,
  ErrorAnswer,
  NowAnswer,
  OutagesAnswer,
  ProjectionAnswer,
  SerialPortsAnswer,
  SeriesAnswer,
  Settings,
  StationSettings,
  StationsAnswer,
  WireHealth,
} from '#messages';
import { SHED, type Stage, stageServer } from '../support/server-stage.ts';

let stage: Stage;
beforeAll(async () => {
  stage = await stageServer();
});
afterAll(() => stage.close());

const parsed = async <S extends v.GenericSchema>(path: string, schema: S) => {
  const answer = await stage.get(path);
  expect(answer.status, answer.body).toBe(200);
  expect(answer.headers['content-type']).toBe('application/json; charset=utf-8');
  expect(answer.headers['cache-control']).toBe('no-store');
  return v.parse(schema, JSON.parse(answer.body)) as v.InferOutput<S>;
};
const refusal = (body: string) => v.parse(ErrorAnswer, JSON.parse(body)).error;

describe('reading over HTTP', () => {
  it('lists the stations', async () => {
    expect(await parsed('/api/stations', StationsAnswer)).toEqual({ stations: [SHED] });
  });

  it('gives the newest reading with its age and the state of the link', async () => {
    const now = await parsed('/api/stations/shed/now', NowAnswer);
    expect(now).toMatchObject({ ageMs: 250, reading: { seq: 0 }, status: { phase: 'live', rejected: { notJson: 1 } } });
  });

  it('gives null where there is no projection yet', async () => {
    expect(await parsed('/api/stations/shed/projection', ProjectionAnswer)).toEqual({ projection: null });
  });

  it('gives what a station was told of itself', async () => {
    const told = await parsed('/api/stations/shed/settings', StationSettings);
    expect(told).toMatchObject({ id: 'shed', panel: [], solarPort: [] });
    expect((await stage.get('/api/stations/attic/settings')).status).toBe(404);
  });

  it('gives a series in columns, for instants in any notation', async () => {
    const from = ['2026-06-21T12:00:00Z', '2026-06-21T14:00:00+02:00', '2026-06-21T14:00:00%2B02:00', '1782043200000'];
    for (const instant of from) {
      const path = `/api/stations/shed/series?quantity=inputPowerW,solarPowerW.2&quantity=outputPowerW&from=${instant}&to=2026-06-21T13:00:00Z&points=4`;
      const series = await parsed(path, SeriesAnswer);
      expect(series).toMatchObject({ startAt: '2026-06-21T12:00:00.000Z', stepMs: 900_000, count: 4 });
      expect(Object.keys(series.columns)).toEqual(['inputPowerW', 'solarPowerW.2', 'outputPowerW']);
      expect(series.columns.inputPowerW?.max).toEqual([null, null, null, null]);
    }
  });

  it('has a series of very many points read beside the agent', async () => {
    const path = '/api/stations/shed/series?quantity=inputPowerW,outputPowerW&from=0&to=864000000&points=';
    await parsed(`${path}3000`, SeriesAnswer);
    expect(stage.told).toEqual([]);
    expect(JSON.parse((await stage.get(`${path}3001`)).body)).toEqual({ read: 'beside' });
    expect(stage.told.splice(0)).toEqual([
      [
        'series',
        { station: 'shed', quantities: ['inputPowerW', 'outputPowerW'], fromMs: 0, toMs: 864_000_000, points: 3001 },
      ],
    ]);
  });

  it('has a series that takes the readings of many hours read beside the agent, and one of their minutes not', async () => {
    const path = '/api/stations/shed/series?quantity=inputPowerW&from=0';
    for (const few of ['&to=21600000&points=3000', '&to=86400000&points=2000'])
      await parsed(`${path}${few}`, SeriesAnswer);
    expect(stage.told).toEqual([]);
    expect(JSON.parse((await stage.get(`${path}&to=86400000&points=2880`)).body)).toEqual({ read: 'beside' });
    expect(stage.told.splice(0)).toMatchObject([['series', { toMs: 86_400_000, points: 2880 }]]);
  });

  it('gives days within the dates asked for', async () => {
    const { days, zone } = await parsed('/api/stations/shed/days?from=2026-06-01&to=2026-06-30', DaysAnswer);
    expect(zone).toBe('Europe/Lisbon');
    expect(days).toMatchObject([{ date: '2026-06-21', solarWh: 800 }]);
    expect((await parsed('/api/stations/shed/days?from=2026-06-22', DaysAnswer)).days).toEqual([]);
    expect((await parsed('/api/stations/shed/days', DaysAnswer)).days).toHaveLength(1);
  });

  it('gives outages, open ones without an end', async () => {
    expect(await parsed('/api/stations/shed/outages', OutagesAnswer)).toEqual({
      outages: [
        {
          startedAt: '2026-06-20T23:00:00.000Z',
          endedAt: null,
          startPct: 88,
          endPct: null,
          lowestPct: 61,
          outputWh: 12,
          inputWh: 3,
          promised: { madeAt: '2026-06-20T23:01:00.000Z', p10: '2026-06-21T03:00:00.000Z', p50: null },
          floorAt: null,
        },
      ],
    });
  });

  it('gives the ledger as a CSV file', async () => {
    const answer = await stage.get('/api/stations/shed/days.csv?from=2026-06-01&to=2026-06-30');
    expect(answer.headers['content-type']).toBe('text/csv; charset=utf-8; header=present');
    expect(answer.headers['content-disposition']).toBe(
      'attachment; filename="Honey shed, days from 2026-06-01 to 2026-06-30.csv"',
    );
    expect(answer.body).toBe('date,solarWh\r\nshed,2026-06-01,2026-06-30\r\n');
  });

  it('gives health, settings with their revision, serial ports and adapters', async () => {
    await parsed('/api/health', WireHealth);
    await parsed('/api/settings', Settings);
    expect((await stage.get('/api/settings')).headers.etag).toBe('"r1"');
    expect((await parsed('/api/serial-ports', SerialPortsAnswer)).ports).toHaveLength(1);
    expect((await parsed('/api/adapters', AdaptersAnswer)).adapters).toHaveLength(1);
  });

  it('answers HEAD with the head alone', async () => {
    const answer = await stage.ask('HEAD', '/api/stations', {});
    expect(answer.status).toBe(200);
    expect(answer.body).toBe('');
    expect(Number(answer.headers['content-length'])).toBeGreaterThan(10);
  });

  it('describes every route in OpenAPI, made from the same schemas', async () => {
    const api = JSON.parse((await stage.get('/api/openapi.json')).body);
    expect(api.openapi).toBe('3.1.0');
    expect(Object.keys(api.paths)).toEqual([
      '/api/stations',
      '/api/stations/{station}/now',
      '/api/stations/{station}/projection',
      '/api/stations/{station}/settings',
      '/api/stations/{station}/typed',
      '/api/stations/{station}/input-source',
      '/api/stations/{station}/retry',
      '/api/stations/{station}/release',
      '/api/stations/{station}/put-away',
      '/api/stations/{station}/units',
      '/api/stations/{station}/put-away.ics',
      '/api/stations/{station}/judging',
      '/api/stations/{station}/outlast',
      '/api/stations/{station}/loads',
      '/api/stations/{station}/plan',
      '/api/stations/{station}/aim',
      '/api/stations/{station}/marks',
      '/api/stations/{station}/spots',
      '/api/stations/{station}/day',
      '/api/stations/{station}/spans',
      '/api/stations/{station}/notes',
      '/api/stations/{station}/facts',
      '/api/trials',
      '/api/trials/compare',
      '/api/trials/report',
      '/api/trials/chart',
      '/api/trials/{trial}',
      '/api/trials/{trial}/report',
      '/api/trials/{trial}/samples.csv',
      '/api/stations/{station}/first-week',
      '/api/stations/{station}/years',
      '/api/alarms',
      '/api/stations/{station}/alarms',
      '/api/stations/{station}/series',
      '/api/stations/{station}/days',
      '/api/stations/{station}/outages',
      '/api/stations/{station}/ledger',
      '/api/stations/{station}/days.csv',
      '/api/stations/{station}/recording',
      '/api/stations/{station}/recording.csv',
      '/api/stations/{station}/recording.parquet',
      '/api/health',
      '/api/settings',
      '/api/serial-ports',
      '/api/adapters',
      '/api/own-adapters',
      '/api/own-adapters/approve',
      '/api/scan',
      '/pair',
      '/healthz',
      '/api/session',
      '/api/session/end',
      '/api/sharing',
      '/api/sharing/tokens',
      '/api/sharing/revoke',
      '/api/sharing/invitation',
      '/api/sharing/here-link',
      '/api/sharing/decision',
      '/api/sharing/unlock',
      '/api/openapi.json',
    ]);
    const typed = api.paths['/api/stations/{station}/typed'].post;
    expect(typed.requestBody.content['application/json'].schema).toMatchObject({
      additionalProperties: false,
      properties: { inputPowerW: { minimum: 0 }, outputPowerW: { minimum: 0 }, stateOfChargePct: { maximum: 100 } },
    });
    expect(typed['x-needs']).toBe('change');
    expect(api.paths['/api/stations'].get['x-needs']).toBe('view');
    expect(api.paths['/healthz'].get.security).toEqual([]);
    expect(api.paths['/api/settings'].put.requestBody.content['application/json'].schema.type).toBe('object');
  });
});

describe('a question that cannot be answered', () => {
  const series = '/api/stations/shed/series?quantity=inputPowerW&from=2026-06-21T11:00:00Z';
  it.each([
    ['/api/stations/barn/now', 404, 'STATION_UNKNOWN'],
    ['/api/stations/SHED/now', 404, 'REQUEST_INVALID'],
    ['/api/stations/shed/secrets', 404, 'REQUEST_INVALID'],
    ['/api/', 404, 'REQUEST_INVALID'],
    ['/api/stations/shed/series?from=2026-06-21T12:00:00Z', 400, 'REQUEST_INVALID'],
    ['/api/stations/shed/series?quantity=inputPowerW', 400, 'REQUEST_INVALID'],
    ['/api/stations/shed/series?quantity=honey&from=0', 400, 'REQUEST_INVALID'],
    ['/api/stations/shed/series?quantity=__proto__&from=0', 400, 'REQUEST_INVALID'],
    [`${series}&points=5001`, 400, 'REQUEST_INVALID'],
    [`${series}&points=0`, 400, 'REQUEST_INVALID'],
    [`${series}&points=1e3`, 400, 'REQUEST_INVALID'],
    [`${series}&from=0`, 400, 'REQUEST_INVALID'],
    [`${series}&to=2026-06-21T11:00:00Z`, 400, 'REQUEST_INVALID'],
    [`${series}&to=2026-06-21T10:00:00Z`, 400, 'REQUEST_INVALID'],
    [`${series}&to=2026-06-21T13:00:00`, 400, 'REQUEST_INVALID'],
    [`${series}&to=tomorrow`, 400, 'REQUEST_INVALID'],
    [`${series}&resolution=1`, 400, 'REQUEST_INVALID'],
    ['/api/stations/shed/days?from=2026-02-30', 400, 'REQUEST_INVALID'],
    ["/api/stations/shed/days?from=2026-06-01'--", 400, 'REQUEST_INVALID'],
    ['/api/stations/shed/days?from=2026-06-02&to=2026-06-01', 400, 'REQUEST_INVALID'],
    ['/api/stations?x=1', 400, 'REQUEST_INVALID'],
  ])('%s gives %i %s in words', async (path, status, code) => {
    const answer = await stage.get(path);
    expect(answer.status).toBe(status);
    const error = refusal(answer.body);
    expect(error.code).toBe(code);
    expect(error.fix).not.toBe('');
  });

  it('names the limit it went over', async () => {
    expect(refusal((await stage.get(`${series}&points=9999`)).body).fix).toContain('5000');
  });

  it('is met with 405 and the methods that work where only the method is wrong', async () => {
    const get = await stage.get('/api/stations/shed/typed');
    expect([get.status, get.headers.allow]).toEqual([405, 'POST']);
    const post = await stage.change('POST', '/api/settings', {});
    expect([post.status, post.headers.allow]).toEqual([405, 'GET, HEAD, PUT']);
    const page = await stage.change('POST', '/', {});
    expect([page.status, page.headers.allow]).toEqual([405, 'GET, HEAD']);
  });
});

describe('changing over HTTP', () => {
  it('passes typed numbers, the source of input, a retry and a letting go on', async () => {
    const values = { inputPowerW: 120, outputPowerW: 40, stateOfChargePct: 63 };
    for (const [path, body] of [
      ['typed', values],
      ['input-source', { inputSource: 'wall' }],
      ['retry', {}],
      ['release', {}],
      ['put-away', {}],
    ] as const) {
      const answer = await stage.change('POST', `/api/stations/shed/${path}`, body);
      v.parse(DoneAnswer, JSON.parse(answer.body));
    }
    expect(stage.told).toEqual(
      expect.arrayContaining([
        ['typed', 'shed', values],
        ['inputSource', 'shed', 'wall'],
        ['retry', 'shed'],
        ['release', 'shed'],
        ['putAway', 'shed'],
      ]),
    );
  });

  it('fills defaults into new settings and passes the revision they rest on', async () => {
    const answer = await stage.change(
      'PUT',
      '/api/settings',
      { record: { commitIntervalS: 30 } },
      { 'if-match': '"r1"' },
    );
    expect(answer.headers.etag).toBe('"r2"');
    expect(v.parse(Settings, JSON.parse(answer.body)).server.port).toBe(7420);
    expect(stage.told.at(-1)).toMatchObject(['put', { record: { commitIntervalS: 30 } }, 'r1']);
  });

  it('says where a value is wrong and changes nothing', async () => {
    const before = stage.told.length;
    const answer = await stage.change('PUT', '/api/settings', {
      station: [{ id: 'shed', name: 'Honey shed', transport: { kind: 'typed' }, reserveFloorPct: 120 }],
    });
    expect(answer.status).toBe(400);
    expect(refusal(answer.body).path).toBe('station.0.reserveFloorPct');
    expect(stage.told.length).toBe(before);
  });

  it.each([
    ['not JSON', '{'],
    ['an unknown key', '{"inputPowerW":1,"outputPowerW":1,"stateOfChargePct":1,"x":1}'],
    ['__proto__', '{"inputPowerW":1,"outputPowerW":1,"stateOfChargePct":1,"__proto__":{"polluted":true}}'],
    ['a number out of range', '{"inputPowerW":1e308,"outputPowerW":1,"stateOfChargePct":1}'],
    ['text for a number', '{"inputPowerW":"1","outputPowerW":1,"stateOfChargePct":1}'],
    ['a hundred thousand brackets', '['.repeat(60_000)],
    ['bytes that are not UTF-8', Buffer.from([0x22, 0xff, 0x22]).toString('latin1')],
    ['nothing', ''],
  ])('refuses a body of %s', async (_what, body) => {
    const before = stage.told.length;
    const answer = await stage.change('POST', '/api/stations/shed/typed', body);
    expect(answer.status).toBe(400);
    expect(refusal(answer.body).code).toBe('REQUEST_INVALID');
    expect(stage.told.length).toBe(before);
    expect('polluted' in {}).toBe(false);
  });

  it('refuses a change for a station that is not there', async () => {
    expect((await stage.change('POST', '/api/stations/barn/retry', {})).status).toBe(404);
  });
});

describe('a failure inside', () => {
  it('tells an expected one in its own words with a status that fits', async () => {
    const failing = await stageServer({
      settings: {
        get: () => {
          throw new WattkeepError('SETTINGS_SYNTAX', 'Line 3 is not TOML.', 'Correct it.');
        },
        put: () => {
          throw new WattkeepError('SETTINGS_CHANGED', 'The file changed.', 'Load it again.');
        },
      },
    });
    const get = await failing.get('/api/settings');
    expect([get.status, refusal(get.body).message]).toEqual([400, 'Line 3 is not TOML.']);
    const put = await failing.change('PUT', '/api/settings', {});
    expect([put.status, refusal(put.body).code]).toEqual([412, 'SETTINGS_CHANGED']);
    await failing.close();
  });

  it('shows the client a short id and the log the detail', async () => {
    const failing = await stageServer({
      health: () => {
        throw new Error('a secret path /home/keeper');
      },
    });
    const answer = await failing.get('/api/health');
    expect(answer.status).toBe(500);
    expect(answer.body).not.toContain('secret');
    expect(refusal(answer.body)).toMatchObject({ code: 'INTERNAL', fix: 'Look for id-1 in the log.' });
    expect(JSON.stringify(failing.told)).toContain('a secret path /home/keeper');
    await failing.close();
  });
});

describe('starting', () => {
  it('names a port that is taken and how to get another', async () => {
    const second = stageServer({ port: stage.server.port });
    await expect(second).rejects.toMatchObject({
      code: 'PORT_BUSY',
      message: `Port ${stage.server.port} of 127.0.0.1 is already in use.`,
      fix: expect.stringContaining('--port 0'),
    });
  });

  it('refuses to listen where others can connect and this machine cannot', async () => {
    await expect(stageServer({ host: '192.0.2.7' })).rejects.toMatchObject({
      code: 'USAGE',
      fix: expect.stringContaining('--lan'),
    });
  });

  it('says that the page is not built where it is not', async () => {
    await expect(stageServer({ siteDir: stage.dir })).rejects.toMatchObject({
      code: 'INTERNAL',
      fix: 'Run npm run build.',
    });
  });
});
