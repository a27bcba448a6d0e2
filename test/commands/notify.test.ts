/** What systemd is told, and what it is not: work is a commit that came to its end, never the passing of time. */
import { describe, expect, it } from 'vitest';
import { createNotifier } from '../../agent/commands/run/notify.ts';

function stage(watchdogMs: number | null) {
  let nowMono = 0;
  const told: string[][] = [];
  const notifier = createNotifier({ watchdogMs, monoMs: () => nowMono, send: said => void told.push([...said]) });
  const settle = () => new Promise<void>(resolve => setImmediate(resolve));
  return {
    notifier,
    told,
    settle,
    async commit(atMono: number, failure: Parameters<typeof notifier.settled>[0] = null, intervalMs = 10_000) {
      nowMono = atMono;
      notifier.settled(failure, intervalMs);
      await settle();
      return told.splice(0).flat();
    },
  };
}

describe('the watchdog', () => {
  it('is fed by commits that came to their end, at most once in a quarter of its time', async () => {
    const { commit } = stage(30_000);
    expect(await commit(0)).toEqual(['STATUS=Recording.', 'WATCHDOG=1']);
    expect(await commit(1000)).toEqual([]);
    expect(await commit(7400)).toEqual([]);
    expect(await commit(10_000)).toEqual(['WATCHDOG=1']);
    expect(await commit(20_000)).toEqual(['WATCHDOG=1']);
  });

  it('is fed on a disk that takes nothing: starting anew makes no room, and the live view goes on', async () => {
    const { commit } = stage(30_000);
    expect(await commit(0, 'DISK_FULL')).toEqual(['STATUS=Nothing is being saved (DISK_FULL).', 'WATCHDOG=1']);
    expect(await commit(10_000, 'DISK_READ_ONLY')).toContain('WATCHDOG=1');
    expect(await commit(20_000)).toEqual(['STATUS=Recording.', 'WATCHDOG=1']);
  });

  it.each(['RECORD_DAMAGED', 'DATA_BUSY', 'DATA_PERMISSION', 'INTERNAL'] as const)(
    'runs out where starting anew may help: %s',
    async code => {
      const { commit } = stage(30_000);
      expect(await commit(0, code)).toEqual([`STATUS=Nothing is being saved (${code}).`]);
      expect(await commit(10_000, code)).toEqual([]);
    },
  );

  it('is given more time where commits are further apart', async () => {
    const { commit } = stage(30_000);
    expect(await commit(0, null, 60_000)).toEqual(['STATUS=Recording.', 'WATCHDOG_USEC=180000000', 'WATCHDOG=1']);
    expect(await commit(60_000, null, 60_000)).toEqual(['WATCHDOG=1']);
    expect(await commit(61_000, null, 10_000)).toEqual(['WATCHDOG_USEC=30000000', 'WATCHDOG=1']);
  });

  it('is told nothing where there is none', async () => {
    expect(await stage(null).commit(0)).toEqual(['STATUS=Recording.']);
  });
});

describe('what systemd is told', () => {
  it('goes in one message where it is told at once', async () => {
    const { notifier, told, settle } = stage(30_000);
    notifier.ready();
    notifier.settled(null, 10_000);
    await settle();
    notifier.stopping();
    await settle();
    expect(told).toEqual([['READY=1', 'STATUS=Recording.', 'WATCHDOG=1'], ['STOPPING=1']]);
  });
});
