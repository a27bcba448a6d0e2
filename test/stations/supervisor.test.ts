import * as v from 'valibot';
import { describe, expect, it } from 'vitest';
import { WireStatus } from '#messages';
import type { LinkedPlan } from '../../agent/stations/index.ts';
import { aReading, manifest, settle, stationStage } from '../support/station-stage.ts';

describe('a supervised station', () => {
  it('is live with its first reading, which is number 1 of its session', async () => {
    const stage = stationStage();
    await stage.live();
    expect(stage.status()).toMatchObject({ phase: 'live', accepted: 1, staleAfterMs: 5000, link: '/dev/shed' });
    expect(stage.readings).toEqual([{ station: 'shed', session: 'session 1', seq: 1, monoMs: 0, ...aReading() }]);
  });

  it('is unplugged, retries, and is live again under a new session that counts from 1', async () => {
    const stage = stationStage();
    const { link } = await stage.live();
    link.events.closed('unplugged', 'the cable is gone');
    expect(stage.status()).toMatchObject({
      phase: 'retrying',
      failure: 'unplugged',
      detail: 'the cable is gone',
      attempt: 1,
      nextTryInMs: 750,
    });
    await stage.advance(750);
    stage.links.at(-1)?.events.closed('notFound', 'no such port');
    await settle();
    expect(stage.status()).toMatchObject({ phase: 'retrying', failure: 'notFound', attempt: 2 });
    await stage.advance(2000);
    stage.links.at(-1)?.events.opened();
    stage.channels.at(-1)?.events.reading(aReading(7));
    expect(stage.status()).toMatchObject({ phase: 'live', attempt: 0, accepted: 2 });
    expect(stage.status()).not.toHaveProperty('failure');
    expect(stage.readings.at(-1)).toMatchObject({ session: 'session 3', seq: 1, monoMs: 2750 });
  });

  it('is back within 5 s of being plugged in, however long it was away', async () => {
    const stage = stationStage();
    const { link } = await stage.live();
    link.events.closed('unplugged', '');
    let tries = stage.links.length;
    for (let s = 0; s < 3600; s++) {
      await stage.advance(1000);
      if (stage.links.length > tries) {
        tries = stage.links.length;
        stage.links.at(-1)?.events.closed('notFound', '');
      }
    }
    await stage.advance(4900);
    expect(stage.links.length).toBe(tries + 1);
  });

  it('is stale when nothing came for five seconds, and says so once', async () => {
    const stage = stationStage();
    await stage.live();
    await stage.advance(4999);
    expect(stage.status()?.phase).toBe('live');
    await stage.advance(1);
    expect(stage.status()?.phase).toBe('stale');
    await stage.advance(60_000);
    expect(stage.statuses.filter(status => status.phase === 'stale')).toHaveLength(1);
  });

  it('pauses its link while the adapter cannot keep up', async () => {
    const stage = stationStage();
    const { link, channel } = await stage.live();
    channel.room = false;
    link.events.bytes(Uint8Array.of(1));
    expect(link.paused).toBe(true);
    channel.room = true;
    channel.events.drained();
    expect(link.paused).toBe(false);
  });

  it('counts refused frames by cause over all its sessions', async () => {
    const stage = stationStage();
    const { link, channel } = await stage.live();
    channel.events.rejected({ notJson: 2, tooFast: 5 }, 'x');
    link.events.closed('unplugged', '');
    channel.events.rejected({ incomplete: 1 }, '');
    await stage.advance(750);
    stage.links.at(-1)?.events.opened();
    stage.channels.at(-1)?.events.rejected({ notJson: 1 }, 'y');
    expect(stage.status()?.rejected).toEqual({ notJson: 3, tooFast: 5, incomplete: 1 });
  });

  it('is unreadable after three seconds of noise; a flood of good frames is not noise', async () => {
    const stage = stationStage();
    const { channel } = await stage.live();
    for (let i = 0; i < 17; i++) {
      channel.events.rejected({ tooFast: 100 }, 'more than 50 readings a second');
      await stage.advance(200);
    }
    expect(stage.status()?.phase).toBe('live');
    channel.events.reading(aReading());
    for (let i = 0; i < 17; i++) {
      channel.events.rejected({ notText: 100 }, 'not UTF-8');
      await stage.advance(200);
    }
    expect(stage.status()).toMatchObject({ phase: 'stale', failure: 'unreadable', detail: 'not UTF-8' });
  });

  it('still tells readings that were on their way when its link closed, under their own session', async () => {
    const stage = stationStage();
    const { link, channel } = await stage.live();
    link.events.closed('ended', 'the program exited');
    channel.events.reading(aReading(55));
    expect(stage.readings.at(-1)).toMatchObject({ session: 'session 1', seq: 2 });
    expect(stage.status()?.phase).toBe('retrying');
  });

  it('waits until its port is free before it opens it again', async () => {
    const stage = stationStage();
    const { link } = await stage.live();
    link.events.closed('failed', '');
    await stage.advance(700);
    expect(link.closed).toBe(true);
    expect(stage.links).toHaveLength(1);
  });

  it('moves its adapter to a process of its own after two ends, and is parked after five', async () => {
    const stage = stationStage();
    await stage.live();
    for (let i = 0; i < 5; i++) {
      stage.channels.at(-1)?.events.ended('adapterSilent', 'no sign of life for 5 s');
      await stage.advance(20_000);
      const link = stage.links.at(-1);
      if (!link?.closed) link?.events.opened();
    }
    expect(stage.channels.map(channel => channel.alone)).toEqual([false, false, true, true, true]);
    expect(stage.status()).toMatchObject({
      phase: 'parked',
      failure: 'adapterSilent',
      attempt: 5,
      attemptsAllowed: 5,
      nextTryInMs: null,
    });
    expect(stage.supervisor.retryNow('shed')).toBe(true);
    await settle();
    expect(stage.status()?.phase).toBe('connecting');
  });

  it('has a status that fits the wire in every phase', async () => {
    const stage = stationStage();
    const { link, channel } = await stage.live();
    channel.events.rejected({ notJson: 1 }, 'x');
    link.events.closed('unplugged', 'gone');
    await stage.advance(750);
    stage.channels.at(-1)?.events.ended('adapterApi', 'too new');
    stage.supervisor.set([stage.plan('shed'), { kind: 'typed', id: 'hut' }]);
    for (const status of [...stage.statuses, ...stage.supervisor.statuses()]) {
      expect(v.parse(WireStatus, status)).toEqual(status);
    }
  });
});

describe('the supervisor', () => {
  it('keeps what did not change, ends what is gone and starts what is new', async () => {
    const stage = stationStage();
    stage.supervisor.set([stage.plan('shed'), stage.plan('barn')]);
    await settle();
    expect(stage.links).toHaveLength(2);
    stage.supervisor.set([stage.plan('shed'), stage.plan('hut')]);
    await settle();
    expect(stage.links.map(link => link.closed)).toEqual([false, true, false]);
    stage.supervisor.set([stage.plan('shed', 'another port'), stage.plan('hut')]);
    await settle();
    expect(stage.links.map(link => link.closed)).toEqual([true, true, false, false]);
    expect(stage.supervisor.statuses().map(status => status.station)).toEqual(['hut', 'shed']);
  });

  it('lets one station fail without touching another', async () => {
    const stage = stationStage();
    stage.supervisor.set([stage.plan('shed'), stage.plan('barn')]);
    await settle();
    for (const link of stage.links) link.events.opened();
    stage.channels[0]?.events.ended('adapterCrashed', 'boom');
    stage.channels[1]?.events.reading(aReading());
    expect(stage.status('shed')?.phase).toBe('retrying');
    expect(stage.status('barn')?.phase).toBe('live');
  });

  it('numbers and marks what the owner types', () => {
    const stage = stationStage();
    stage.supervisor.set([{ kind: 'typed', id: 'hut' }]);
    expect(stage.status('hut')?.phase).toBe('typed');
    expect(stage.supervisor.typed('hut', aReading(30))).toBe(true);
    expect(stage.supervisor.typed('hut', aReading(40))).toBe(true);
    expect(stage.readings.map(reading => [reading.seq, reading.typed])).toEqual([
      [1, true],
      [2, true],
    ]);
    expect(stage.supervisor.typed('shed', aReading())).toBe(false);
    stage.supervisor.set([{ kind: 'typed', id: 'hut' }]);
    expect(stage.supervisor.statuses()).toHaveLength(1);
  });

  it('closes every link, tells nothing of state afterwards, and may be closed twice', async () => {
    const stage = stationStage();
    const { link, channel } = await stage.live();
    const closing = stage.supervisor.close();
    const told = stage.statuses.length;
    channel.events.reading(aReading(9));
    link.events.closed('ended', '');
    await closing;
    await stage.supervisor.close();
    await stage.advance(100_000);
    expect(link.closed).toBe(true);
    expect(stage.links).toHaveLength(1);
    expect(stage.statuses).toHaveLength(told);
    expect(stage.readings.at(-1)?.quantities.inputPowerW).toBe(9);
    stage.supervisor.set([stage.plan('barn')]);
    expect(stage.supervisor.statuses()).toEqual([]);
  });

  it('closes while a link is still being opened', async () => {
    const stage = stationStage();
    stage.supervisor.set([stage.plan('shed')]);
    await stage.supervisor.close();
    await settle();
    expect(stage.links.every(link => link.closed)).toBe(true);
  });

  it('takes staleness from the manifest of the adapter', async () => {
    const stage = stationStage();
    const { channel } = await stage.live();
    channel.events.ready(manifest({ onChangeOnly: true }));
    expect(stage.status()?.staleAfterMs).toBeNull();
    await stage.advance(3_600_000);
    expect(stage.status()?.phase).toBe('live');
  });
});

describe('a station whose adapter waits for the owner', () => {
  const held = (failure: string | undefined, detail = '') => ({
    kind: 'held' as const,
    id: 'shed',
    link: '/dev/shed',
    detail,
    ...(failure === undefined ? {} : { failure }),
  });

  it('opens nothing, says why, and begins once it may', async () => {
    const stage = stationStage();
    stage.supervisor.set([held(undefined)]);
    expect(stage.status()).toMatchObject({ phase: 'connecting', link: '/dev/shed' });
    stage.supervisor.set([held('adapterAsks', 'bee-box.ts')]);
    stage.supervisor.set([held('adapterAsks', 'bee-box.ts')]);
    await stage.advance(100_000);
    expect(stage.links).toEqual([]);
    expect(stage.statuses.map(({ phase, failure }) => [phase, failure])).toEqual([
      ['connecting', undefined],
      ['parked', 'adapterAsks'],
    ]);
    await stage.live();
    expect(stage.supervisor.statuses()).toHaveLength(1);
    expect(stage.status()?.phase).toBe('live');
  });

  it('lets go of its link at once when its file was changed', async () => {
    const stage = stationStage();
    const { link } = await stage.live();
    stage.supervisor.set([held('adapterChanged')]);
    await settle();
    expect(link.closed).toBe(true);
    expect(stage.status()).toMatchObject({ phase: 'parked', failure: 'adapterChanged', nextTryInMs: null });
    for (const status of stage.statuses) expect(v.safeParse(WireStatus, status).success).toBe(true);
  });
});

describe('a station that was let go', () => {
  it('frees its link, is silent, and comes back when its time is over', async () => {
    const stage = stationStage();
    const { link } = await stage.live();
    expect(stage.supervisor.rest('shed', { forMs: 600_000 })).toBe(true);
    await settle();
    expect(link.closed).toBe(true);
    expect(stage.status()).toMatchObject({ phase: 'released', nextTryInMs: 600_000 });
    await stage.advance(599_999);
    expect(stage.links).toHaveLength(1);
    await stage.advance(1);
    expect(stage.links).toHaveLength(2);
    for (const status of stage.statuses) expect(v.safeParse(WireStatus, status).success).toBe(true);
  });

  it('before this run stays so', async () => {
    const stage = stationStage();
    stage.supervisor.set([{ ...(stage.plan('shed') as LinkedPlan), resting: { forMs: null } }]);
    await stage.advance(1e8);
    expect(stage.links).toEqual([]);
    expect(stage.status()).toMatchObject({ phase: 'away', nextTryInMs: null });
    stage.supervisor.retryNow('shed');
    await settle();
    expect(stage.links).toHaveLength(1);
  });

  it('is none where there is no link', () => {
    expect(stationStage().supervisor.rest('barn', { forMs: null })).toBe(false);
  });
});

describe('a link that is lost every two seconds for a minute', () => {
  it('is one steady message, readings go on, and another station hears nothing of it', async () => {
    const stage = stationStage();
    const { channel: other } = await stage.live('barn');
    stage.supervisor.set([stage.plan('barn'), stage.plan('shed')]);
    await settle();
    const comeUp = () => {
      stage.links.at(-1)!.events.opened();
      stage.channels.at(-1)!.events.ready(manifest());
      stage.channels.at(-1)!.events.reading(aReading());
    };
    comeUp();
    const readingsBefore = stage.readings.length;
    for (let i = 0; i < 30; i++) {
      await stage.advance(1000);
      other.events.reading(aReading());
      stage.links.at(-1)!.events.closed('unplugged', 'the station went out of reach');
      await stage.advance(1000);
      other.events.reading(aReading());
      comeUp();
    }
    const told = stage.statuses
      .filter(status => status.station === 'shed')
      .map(({ phase, failure }) => [phase, failure]);
    const steady = told.findIndex(([, failure]) => failure === 'unsteady');
    expect(told.slice(steady)).toEqual([['live', 'unsteady']]);
    // Two losses were told as they came: not yet a storm.
    expect(told.filter(([phase]) => phase === 'retrying')).toHaveLength(2);
    expect(stage.readings.filter(({ station }) => station === 'shed')).toHaveLength(31);
    expect(stage.readings.length).toBeGreaterThan(readingsBefore);
    expect(stage.statuses.filter(({ station, failure }) => station === 'barn' && failure !== undefined)).toEqual([]);
    // A minute without a loss: the message ends by itself.
    for (let i = 0; i < 31; i++) {
      await stage.advance(2000);
      stage.channels.at(-1)!.events.reading(aReading());
    }
    expect(stage.status('shed')).toMatchObject({ phase: 'live' });
    expect(stage.status('shed')?.failure).toBeUndefined();
    expect(stage.statuses.filter(({ station }) => station === 'shed').at(-1)?.failure).toBeUndefined();
  });

  it('is told as lost where it does not come back', async () => {
    const stage = stationStage();
    await stage.live();
    for (let i = 0; i < 5; i++) {
      stage.links.at(-1)!.events.closed('unplugged', '');
      await stage.advance(1000);
      stage.links.at(-1)!.events.opened();
      stage.channels.at(-1)!.events.reading(aReading());
    }
    expect(stage.status()?.failure).toBe('unsteady');
    stage.links.at(-1)!.events.closed('unplugged', '');
    for (let i = 0; i < 8; i++) {
      await stage.advance(1000);
      stage.links.at(-1)!.events.closed('notFound', 'not heard');
    }
    expect(stage.statuses.at(-1)).toMatchObject({ phase: 'retrying', failure: 'notFound' });
  });
});
