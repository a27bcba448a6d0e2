import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import * as v from 'valibot';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { WattkeepError } from '#kit';
import { AlarmsAnswer, DoneAnswer, ErrorAnswer } from '#messages';
import { type Door, openDoor } from '../../agent/commands/run/settings-door.ts';
import { loadSettings } from '../../agent/settings/index.ts';
import { shedAlarm } from '../support/alarms.ts';
import { type Stage, stageServer } from '../support/server-stage.ts';

const HOOK = 'https://example.org/hook?key=1234';
let stage: Stage;
let dir: string;
let door: Door;
const kept = () => door.get().settings;
beforeEach(async () => {
  dir = mkdtempSync(join(tmpdir(), 'wattkeep-alarms-'));
  const path = join(dir, 'settings.toml');
  writeFileSync(path, `[alarm]\nwebhook = "${HOOK}"\n`);
  door = openDoor(path, loadSettings(path), { check: () => undefined, apply: async () => undefined });
  stage = await stageServer({
    alarms: {
      list: () => [shedAlarm()],
      change(change, station) {
        if (change.id === 'long-ago') throw new WattkeepError('REQUEST_INVALID', 'That alarm is over.', 'Look again.');
        stage.told.push(['alarm', change, station]);
      },
    },
    settings: door,
  });
});
afterEach(async () => {
  await stage.close();
  rmSync(dir, { recursive: true, force: true });
});

const bearer = (scope: 'view' | 'mark' | 'change') => {
  const { token } = stage.sharing.createToken('A phone', scope);
  return { cookie: '', authorization: `Bearer ${token}` };
};

describe('alarms over HTTP', () => {
  it('gives the whole list, also to who only looks, and first of all on the live line', async () => {
    const answer = await stage.get('/api/alarms');
    expect(v.parse(AlarmsAnswer, JSON.parse(answer.body)).alarms).toEqual([shedAlarm()]);
    const tap = stage.open();
    await tap.until(m => m.type === 'hello');
    tap.subscribe(['barn']);
    expect(await tap.until(m => m.type === 'alarms')).toMatchObject({ alarms: [shedAlarm()] });
  });

  it.each([
    { do: 'acknowledge', id: 'a1' },
    { do: 'shelve', id: 'a1', until: '8h' },
    { do: 'unshelve', id: 'a1' },
  ])('takes %o of the agent’s list and of a station’s', async change => {
    expect(v.parse(DoneAnswer, JSON.parse((await stage.change('POST', '/api/alarms', change)).body))).toEqual({
      done: true,
    });
    await stage.change('POST', '/api/stations/shed/alarms', change);
    expect(stage.told.filter(([what]) => what === 'alarm')).toEqual([
      ['alarm', change, undefined],
      ['alarm', change, 'shed'],
    ]);
    expect((await stage.change('POST', '/api/stations/barn/alarms', change)).status).toBe(404);
  });

  it('asks for a session that may mark: the answer holds for everybody', async () => {
    const change = { do: 'acknowledge', id: 'a1' };
    const asked = async (scope: 'view' | 'mark') =>
      (await stage.change('POST', '/api/alarms', change, bearer(scope))).status;
    expect(await asked('view')).toBe(403);
    expect(await asked('mark')).toBe(200);
  });

  it.each([
    { do: 'acknowledge' },
    { do: 'acknowledge', id: '' },
    { do: 'acknowledge', id: 'x'.repeat(41) },
    { do: 'shelve', id: 'a1', until: 'for ever' },
    { do: 'shelve', id: 'a1' },
    { do: 'silence', id: 'a1' },
    { do: 'acknowledge', id: 'a1', more: 1 },
  ])('refuses %o', async change => {
    expect((await stage.change('POST', '/api/alarms', change)).status).toBe(400);
    expect(stage.told.filter(([what]) => what === 'alarm')).toEqual([]);
  });

  it('says of an alarm that is over what to do', async () => {
    const answer = await stage.change('POST', '/api/alarms', { do: 'acknowledge', id: 'long-ago' });
    expect(answer.status).toBe(400);
    expect(v.parse(ErrorAnswer, JSON.parse(answer.body)).error.message).toBe('That alarm is over.');
  });
});

describe('the address that alarms are sent to', () => {
  it('is shown to who may change it on this machine, and to nobody else', async () => {
    const asked = async (headers: Record<string, string>) => (await stage.get('/api/settings', headers)).body;
    expect(await asked({ cookie: stage.cookie })).toContain('key=1234');
    expect(await asked({})).not.toContain('example.org');
    const { cookie: _, ...viewer } = bearer('view');
    expect(await asked(viewer)).not.toContain('example.org');
    const { cookie: __, ...phone } = bearer('change');
    const answer = await (await stage.share()).ask('GET', '/api/settings', phone);
    expect(answer.status).toBe(200);
    expect(answer.body).not.toContain('example.org');
  });

  it('stays where a page that was not told of it saves settings, and is taken away only by name', async () => {
    const { alarm: _, ...others } = kept();
    await stage.change('PUT', '/api/settings', others);
    expect(kept().alarm).toEqual({ webhook: HOOK });
    await stage.change('PUT', '/api/settings', { ...others, alarm: {} });
    expect(kept().alarm).toEqual({});
  });

  it('is not chosen over a network, whatever the session may', async () => {
    const { cookie: _, ...phone } = bearer('change');
    const there = await stage.share();
    const headers = {
      ...phone,
      origin: `http://${there.host}`,
      'content-type': 'application/json',
      'x-wattkeep': '1',
    };
    const asked = { ...kept(), alarm: { webhook: 'http://127.0.0.1:9/' } };
    const answer = await there.ask('PUT', '/api/settings', headers, JSON.stringify(asked));
    expect(answer.status).toBe(200);
    expect(kept().alarm).toEqual({ webhook: HOOK });
  });
});
