/** From a station's fault to a page's list and a webhook, with the real agent; then the station is put away. */
import { createHmac } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { AlarmsAnswer } from '#messages';
import { type AgentProcess, type Folders, freshFolders, startAgentProcess } from '../support/agent-process.ts';
import { readCalendar, textOf } from '../support/ical-reader.ts';
import { type Receiver, receiver } from '../support/receiver.ts';

/** A station that says once a second that it is overloaded. */
const STATION = `setInterval(() => console.log(JSON.stringify({
  inputPowerW: 0, outputPowerW: 900, stateOfChargePct: 64, states: { fault: 'overload' } })), 1000)`;

let folders: Folders;
let agent: AgentProcess;
let there: Receiver;

describe('an alarm', () => {
  beforeAll(async () => {
    there = await receiver((_n, response) => void response.writeHead(204).end());
    folders = freshFolders(`[alarm]
webhook = "${there.url}"
[[station]]
id = "shed"
name = "Honey shed"
zone = "Europe/Rome"
transport = { kind = "process", command = [${JSON.stringify(process.execPath)}, "-e", ${JSON.stringify(STATION)}] }
`);
    agent = await startAgentProcess(folders);
  });
  afterAll(async () => {
    await agent?.end('SIGKILL');
    await there?.close();
    folders?.remove();
  });

  it('comes half a minute after the start, to pages and to the webhook; one answer silences it', {
    timeout: 150_000,
  }, async () => {
    const { headers, body } = await there.nth(1);
    const event = JSON.parse(body);
    expect(event).toMatchObject({
      type: 'wattkeep.alarm.raised',
      subject: 'shed',
      data: { alarms: [{ kind: 'fault', values: { fault: 'overload' }, state: 'active' }] },
    });
    const secret = readFileSync(join(folders.data, 'webhook-secret'), 'utf8').trim();
    expect(headers['x-wattkeep-signature']).toBe(`sha256=${createHmac('sha256', secret).update(body).digest('hex')}`);
    const { alarms } = await agent.api<AlarmsAnswer>('/api/alarms');
    expect(alarms).toEqual(event.data.alarms);
    await agent.post('/api/stations/shed/alarms', { do: 'acknowledge', id: alarms[0]!.id });
    expect((await agent.api<AlarmsAnswer>('/api/alarms')).alarms).toMatchObject([{ state: 'acknowledged' }]);
    expect(there.got).toHaveLength(1);
  });

  it('goes with the station that is put away, which then has a day to be topped up', async () => {
    expect((await fetch(new URL('api/stations/shed/put-away.ics', agent.url))).status).toBe(400);
    await agent.post('/api/stations/shed/put-away', {});
    const file = await fetch(new URL('api/stations/shed/put-away.ics', agent.url));
    expect([file.status, file.headers.get('content-type')]).toEqual([200, 'text/calendar; charset=utf-8']);
    const [event] = readCalendar(new Uint8Array(await file.arrayBuffer())).components;
    expect(textOf(event!.properties.DESCRIPTION![0]!.value)).toContain('at 64 %. Between 46 and 61 % are expected');
  });
});
