import { describe, expect, it } from 'vitest';
import type { WireProjection } from '#messages';
import { alarmText } from '../../web/alarm-lines.ts';
import { agentApi } from '../../web/state/api.ts';
import { createApp } from '../../web/state/app.ts';
import { keptChoices } from '../../web/state/storage.ts';
import { handSocket } from '../support/hand-socket.ts';
import { EVENING_AT, shedProjection, shedStation, ZONE } from '../support/honey-shed.ts';
import { handPageClock } from '../support/page-clock.ts';

const MINUTE = 60_000;
const iso = (ms: number) => new Date(ms).toISOString();
const plain = (text: string) => text.replace(/[\u00a0\u202f]/g, ' ');

/** A page on a clock moved by hand; the agent says every ten seconds what is promised then. */
function page() {
  const clock = handPageClock(EVENING_AT);
  const socket = handSocket();
  const app = createApp({
    clock,
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
    display: { temperature: 'C', clock: '24' },
    stations: [shedStation()],
  });
  const raised = new Set<string>();
  let minute = 0;
  app.alarms.listen(() => {
    for (const alarm of app.alarms.value) raised.add(alarm.id);
  });
  const now = () => EVENING_AT + clock.nowMs();
  return {
    app,
    raised,
    now,
    /** Minutes go by; what is promised at each, minutes ahead. */
    live(minutes: number, leftMin: (minute: number) => number | null, over: Partial<WireProjection> = {}) {
      for (let tenth = 0; tenth < 6 * minutes; tenth++) {
        const left = leftMin(minute + tenth / 6);
        const p10 = left === null ? null : iso(now() + left * MINUTE);
        const emptyAt = p10 === null ? null : { p10, p50: p10, p90: p10 };
        hear({ type: 'projection', projection: shedProjection({ emptyAt, ...over }) });
        clock.advance(10_000);
      }
      minute += minutes;
    },
    standing: () => app.alarms.value.map(alarm => alarm.kind),
  };
}

describe('the warning of half an hour', () => {
  it('is raised once as the promise comes down to it, not before, and stands to the end', () => {
    const p = page();
    p.live(89, minute => 120 - minute);
    expect(p.standing()).toEqual([]);
    p.live(3, minute => 120 - minute);
    expect(p.standing()).toEqual(['ending']);
    const [alarm] = p.app.alarms.value;
    expect(alarm!.raisedAt - EVENING_AT).toBeGreaterThanOrEqual(90 * MINUTE);
    expect(alarm!.raisedAt - EVENING_AT).toBeLessThan(90.5 * MINUTE);
    expect(plain(alarmText(alarm!, p.app))).toBe(
      'Honey shed: no more than 30 min is promised now. The floor of 10 % may come at 22:00.',
    );
    p.live(30, minute => Math.max(0, 120 - minute));
    expect(p.standing()).toEqual(['ending']);
    expect(p.raised.size).toBe(1);
  });

  it('comes between two messages too, as time goes by', () => {
    const p = page();
    p.live(1, () => 31);
    expect(p.standing()).toEqual([]);
    p.live(1, () => 30.1);
    expect(p.standing()).toEqual(['ending']);
  });

  it('is raised once by a range that breathes about the half hour', () => {
    const p = page();
    p.live(240, minute => 30 + 10 * Math.sin(minute));
    expect(p.raised.size).toBe(1);
  });

  it('is over when much more is promised or the mains is back; only after a while a new one is raised', () => {
    const p = page();
    p.live(1, () => 20);
    p.live(5, () => 300);
    expect(p.standing()).toEqual([]);
    p.live(2, () => 20);
    expect(p.standing()).toEqual(['ending']);
    expect(p.raised.size).toBe(1);
    p.live(15, () => 20, { onMains: true });
    expect(p.standing()).toEqual([]);
    p.live(2, () => 20);
    expect(p.standing()).toEqual(['ending']);
    expect(p.raised.size).toBe(2);
  });

  it('is one and the same for a mains that flickers all evening, and stands throughout', () => {
    const p = page();
    for (let i = 0; i < 60; i++) {
      p.live(1, () => 20);
      p.live(0.5, () => 20, { onMains: true });
      expect(p.standing()).toEqual(['ending']);
    }
    expect(p.raised.size).toBe(1);
  });

  it('is not raised on the mains, nor where no end is told, nor at the floor itself', () => {
    const p = page();
    p.live(5, () => 10, { onMains: true });
    p.live(5, () => null);
    p.live(5, () => 0, { why: 'atFloor' });
    expect(p.raised.size).toBe(0);
  });

  it('stands while the station is not read, and goes where it is put away', () => {
    const p = page();
    p.live(1, () => 25);
    p.live(5, () => null, { why: 'stale', toward: 'none' });
    expect(p.standing()).toEqual(['ending']);
    p.app.putAlarmAway(p.app.alarms.value[0]!.id);
    p.live(5, () => 15);
    expect(p.standing()).toEqual([]);
  });
});

describe('the call to a load gone quiet', () => {
  const sinceAt = iso(EVENING_AT - 200 * MINUTE);
  const quiet = [{ name: 'Chest freezer', powerW: 95, sinceAt }];

  it('is raised once for each time it went quiet, and ends when it draws again', () => {
    const p = page();
    p.live(30, () => 500, { quiet });
    expect(p.standing()).toEqual(['quiet']);
    expect(plain(alarmText(p.app.alarms.value[0]!, p.app))).toBe(
      'Honey shed: the chest freezer has not drawn since 16:40, three of its cycles or more. Look at it: the outlets may have switched off.',
    );
    p.live(1, () => 500, { quiet: [] });
    expect(p.standing()).toEqual([]);
    p.live(1, () => 500, { quiet: [{ ...quiet[0]!, sinceAt: iso(EVENING_AT) }] });
    expect(p.raised.size).toBe(2);
  });

  it('stands while the station is not read', () => {
    const p = page();
    p.live(1, () => 500, { quiet });
    p.live(5, () => null, { quiet: [], why: 'stale', toward: 'none' });
    expect(p.standing()).toEqual(['quiet']);
  });
});
