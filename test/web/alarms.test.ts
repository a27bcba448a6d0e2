import { describe, expect, it } from 'vitest';
import type { LiveMessage, WireAlarm } from '#messages';
import { alarmText } from '../../web/alarm-text.ts';
import { linesOf, readAlarms } from '../../web/state/alarms.ts';
import { agentApi } from '../../web/state/api.ts';
import { createApp } from '../../web/state/app.ts';
import { keptChoices } from '../../web/state/storage.ts';
import { shedAlarm } from '../support/alarms.ts';
import { handSocket } from '../support/hand-socket.ts';
import { EVENING_AT, shedStation, ZONE } from '../support/honey-shed.ts';
import { handPageClock } from '../support/page-clock.ts';

const MINUTE = 60_000;
const iso = (ms: number) => new Date(ms).toISOString();
const plain = (text: string) => text.replace(/[\u00a0\u202f]/g, ' ');

/** A page that has its hello; the agent says what calls. */
function page(temperature: 'C' | 'F' = 'C') {
  const socket = handSocket();
  const app = createApp({
    clock: handPageClock(EVENING_AT),
    openSocket: () => socket,
    api: agentApi(async () => new Response('{}', { status: 404 })),
    choices: keptChoices(() => {
      throw new Error('no storage here');
    }),
    wish: () => ({ dark: false, moreContrast: false }),
    locale: 'en-GB',
    zone: ZONE,
  });
  let n = 0;
  const hear = (message: object) => socket.hear({ ...message, n: ++n });
  app.start();
  socket.onopen!();
  hear({
    type: 'hello',
    protocol: 1,
    version: '0.1.0',
    demo: false,
    now: iso(EVENING_AT),
    heartbeatMs: 5000,
    ackWindow: 10,
    display: { temperature, clock: '24' },
    stations: [shedStation()],
  });
  return { app, hear, text: (alarm: Partial<WireAlarm>) => plain(alarmText(shedAlarm(alarm), app)) };
}

describe('an alarm as a sentence', () => {
  it('says what is promised and when the floor may come', () => {
    const { text } = page();
    const raised = (leftMin: number): Partial<WireAlarm> => ({
      raisedAt: iso(EVENING_AT + 90 * MINUTE),
      values: { floorPct: 10, atLeastAt: iso(EVENING_AT + (90 + leftMin) * MINUTE) },
    });
    expect(text(raised(30))).toBe(
      'Honey shed: at 21:30 no more than 30 min was promised. The floor of 10 % may come at 22:00.',
    );
    expect(text(raised(0.2))).toContain('no more than 60 s was promised');
  });

  it('says so where only the label tells how long it lasts', () => {
    const { text } = page();
    const values = { floorPct: 10, atLeastAt: iso(EVENING_AT + 20 * MINUTE), by: 'label' };
    expect(text({ raisedAt: iso(EVENING_AT), values })).toBe(
      'Honey shed: by its label alone, the floor of 10 % may come at 20:20.',
    );
  });

  it('names the load that went quiet, by its watts where it has no name', () => {
    const { text } = page();
    const values = { name: 'Chest freezer', powerW: 95, sinceAt: iso(EVENING_AT - 200 * MINUTE) };
    expect(text({ kind: 'quiet', values })).toBe(
      'Honey shed: the chest freezer has not drawn since 16:40, three of its cycles or more. Look at it: the outlets may have switched off.',
    );
    expect(text({ kind: 'quiet', values: { ...values, name: null } })).toContain('what drew 95 W has not drawn since');
  });

  it('gives the figures of the others in the owner’s units, and the plain cause of what has none', () => {
    const { text } = page('F');
    expect(text({ kind: 'silent', values: { lastAt: iso(EVENING_AT - 12 * MINUTE), powerW: 41 } })).toBe(
      'Honey shed: no readings since 19:48. 41 W were drawn then.',
    );
    expect(text({ kind: 'overVolts', values: { volts: 57.26, limitV: 60, port: 1 } })).toBe(
      'Honey shed: 57.3 V at the input. Its limit is 60.0 V.',
    );
    const south = { volts: 57.26, limitV: 60, port: 2, portName: 'South wall', ports: 2 };
    expect(text({ kind: 'overVolts', values: south })).toBe(
      'Honey shed: 57.3 V at port 2 (South wall). Its limit is 60.0 V.',
    );
    expect(text({ kind: 'overVolts', values: { ...south, portName: null } })).toContain('57.3 V at port 2.');
    expect(text({ kind: 'cold', values: { tempC: -3, chargeW: 99 } })).toBe('Honey shed: it is charged at 26.6 °F.');
    expect(text({ kind: 'fault', values: { fault: 'overload' } })).toBe('Honey shed reports: overload.');
    expect(text({ kind: 'unsaved', station: null, values: { code: 'DISK_FULL' } })).toBe('Nothing is being saved.');
  });
});

describe('the lines above every view', () => {
  it('put together what was called together; what is acknowledged or over comes after, what is set aside is counted', () => {
    const { app, hear } = page();
    const told: LiveMessage = {
      type: 'alarms',
      alarms: [
        shedAlarm({ id: 'a1', kind: 'fault', state: 'cleared', clearedAt: iso(EVENING_AT) }),
        shedAlarm({ id: 'a2', call: 2 }),
        shedAlarm({ id: 'a3', call: 2, kind: 'cold' }),
        shedAlarm({ id: 'a4', call: 3, kind: 'quiet', state: 'acknowledged' }),
        shedAlarm({ id: 'a5', call: 3, kind: 'clock', shelvedUntilAt: iso(EVENING_AT + 60 * MINUTE) }),
      ],
    };
    hear(told);
    const { calls, rest, shelved } = linesOf(readAlarms(app.alarms.value));
    expect(calls.map(({ call, alarms }) => [call, alarms.map(({ id }) => id)])).toEqual([[2, ['a2', 'a3']]]);
    expect(rest.map(({ id }) => id)).toEqual(['a1', 'a4']);
    expect(shelved.map(({ id }) => id)).toEqual(['a5']);
  });

  it('leave out what another version of the agent words differently', () => {
    expect(readAlarms([shedAlarm(), { ...shedAlarm(), kind: 'of another version' }, null])).toHaveLength(1);
  });
});
