import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it, onTestFinished } from 'vitest';
import { find, isMeant, plainUuid } from '../../agent/host/radio-find.ts';
import { createRadioHost } from '../../agent/host/radio-host.ts';
import { type Library, loadLibrary } from '../../agent/host/radio-library.ts';
import { createLimits, LIMITS } from '../../agent/host/radio-limits.ts';
import { powerOn } from '../../agent/host/radio-power.ts';
import { inherited } from '../../agent/host/radio-process.ts';
import { createScan } from '../../agent/host/radio-scan.ts';
import { fakeLibrary, fakePeripheral } from '../support/fake-library.ts';
import { handClock } from '../support/hand-clock.ts';
import { realClock, realTimers, until } from '../support/real-time.ts';
import { settle } from '../support/station-stage.ts';

describe('one step of the library', () => {
  it('is given up after its limit, and the next one begins', async () => {
    const clock = handClock();
    const limits = createLimits(clock);
    const first = limits.run('a read', 5000, () => undefined);
    const second = limits.run<string>('another', 5000, done => done({ value: 'fine' }));
    await settle();
    clock.advance(5000);
    expect(await first).toEqual({ failed: { failure: 'timeout', detail: 'no answer to a read within 5 s' } });
    expect(await second).toEqual({ value: 'fine' });
  });

  it('fails with the link, and so does every one that waits', async () => {
    const limits = createLimits(handClock());
    const gone = { failure: 'unplugged', detail: 'gone' } as const;
    const both = [limits.run('one', 5000, () => undefined), limits.run('two', 5000, () => undefined)];
    await settle();
    limits.end(gone);
    limits.end({ failure: 'ended', detail: 'later' });
    expect(await Promise.all(both)).toEqual([{ failed: gone }, { failed: gone }]);
  });
});

describe('the search', () => {
  it('runs while anybody listens, and rests for a connection', async () => {
    const library = fakeLibrary();
    const scan = createScan(library, handClock());
    const stop = scan.listen(() => undefined);
    const stopOther = scan.listen(() => undefined);
    let during: string | undefined;
    await scan.resting(async () => {
      during = library.asked.at(-1);
    });
    await settle();
    expect(during).toBe('stop');
    expect(library.asked).toEqual(['start', 'stop', 'start']);
    stop();
    expect(library.asked).toHaveLength(3);
    stopOther();
    expect(library.asked.at(-1)).toBe('stop');
  });

  it('does not wait for ever for a stop that nobody answers', async () => {
    const clock = handClock();
    const library = fakeLibrary();
    library.answersStop = false;
    const scan = createScan(library, clock);
    scan.listen(() => undefined);
    let ran = false;
    const resting = scan.resting(async () => {
      ran = true;
    });
    await settle();
    expect(ran).toBe(false);
    clock.advance(1000);
    await resting;
    expect(ran).toBe(true);
  });

  it('is taken up again where it could not begin, or where another program stopped it', async () => {
    const clock = handClock();
    const library = fakeLibrary();
    library.startFails = true;
    const scan = createScan(library, clock);
    scan.listen(() => undefined);
    library.startFails = false;
    clock.advance(1000);
    expect(library.asked).toEqual(['start', 'start']);
    library.stopByOthers();
    clock.advance(1000);
    expect(library.asked).toEqual(['start', 'start', 'start']);
  });
});

describe('the peripheral that is meant', () => {
  it('fits all that was told: name, service in any form, address with or without colons', () => {
    const shed = fakePeripheral();
    expect(isMeant(shed, { name: 'Honey shed' })).toBe(true);
    expect(isMeant(shed, { name: 'honey shed' })).toBe(false);
    expect(isMeant(shed, { service: '0000180F-0000-1000-8000-00805F9B34FB' })).toBe(true);
    expect(isMeant(shed, { service: '180f', name: 'Other' })).toBe(false);
    expect(isMeant(shed, { address: 'C0:00:00:00:00:01' })).toBe(true);
    expect(isMeant(shed, { address: 'c0:00:00:00:00:02' })).toBe(false);
  });

  it('has services as the library writes them: without leading zeros', () => {
    expect(plainUuid('ff1')).toBe('0ff1');
    expect(plainUuid('6B1F00A0-0000-4000-8000-0000AABBCC01')).toBe('6b1f00a00000400080000000aabbcc01');
  });

  it('is told as not heard, held, or belonging to another station, whichever came nearest', async () => {
    for (const [peripherals, taken, failure, words] of [
      [[], false, 'notFound', 'not heard for 15 s'],
      [[fakePeripheral({ connectable: false })], false, 'inUse', 'another client holds it'],
      [[fakePeripheral()], true, 'inUse', 'belongs to another station of yours'],
    ] as const) {
      const clock = handClock();
      const library = fakeLibrary();
      const around = { scan: createScan(library, clock), timers: clock, limits: LIMITS };
      const finding = find({ name: 'Honey shed' }, () => taken, around);
      for (const peripheral of peripherals) library.hear(peripheral);
      clock.advance(15_000);
      const answer = await finding.found;
      expect(answer).toMatchObject({ failure });
      expect((answer as { detail: string }).detail).toContain(words);
      expect(library.asked.at(-1)).toBe('stop');
    }
  });
});

describe('switching the radio on', () => {
  const computer = { platform: 'linux', nodePath: '/usr/bin/node' };
  const stage = (library: Library) => {
    const clock = handClock();
    const lost: string[] = [];
    const power = powerOn({
      timers: clock,
      limitMs: 5000,
      computer,
      onLost: why => lost.push(why.detail),
      load: async () => ({ library }),
    });
    return { clock, power, lost };
  };

  it('waits for an adapter that is off for a moment, and tells its loss once it was on', async () => {
    const library = fakeLibrary();
    const { power, lost } = stage(library);
    await settle();
    library.state('poweredOff');
    library.state('poweredOn');
    expect(await power).toEqual({ library });
    library.state('poweredOff');
    expect(lost).toEqual(['Bluetooth is off; run: rfkill unblock bluetooth && bluetoothctl power on']);
  });

  it('ends with what is known after its limit', async () => {
    const library = fakeLibrary();
    const { clock, power } = stage(library);
    await settle();
    library.warn('Initialization of USB device failed: No such device');
    clock.advance(5000);
    expect(await power).toMatchObject({ failure: 'notFound', detail: expect.stringContaining('no Bluetooth adapter') });
  });

  it('does not wait for an adapter that cannot speak Bluetooth LE', async () => {
    const library = fakeLibrary();
    const { power } = stage(library);
    await settle();
    library.state('unsupported');
    expect(await power).toMatchObject({ failure: 'unsupported' });
  });
});

describe('the library', () => {
  it('is the first of the two that is there', async () => {
    const library = fakeLibrary();
    const loaded = await loadLibrary(async name => {
      if (name === '@abandonware/noble') throw new Error("Cannot find package '@abandonware/noble'");
      return { default: library };
    });
    expect(loaded).toEqual({ library });
  });

  it('that is nowhere is missing; one that does not load says why', async () => {
    const missing = await loadLibrary(async name => {
      throw new Error(`Cannot find package '${name}'`);
    });
    expect(missing).toMatchObject({ missing: true });
    const failing = await loadLibrary(async name => {
      throw new Error(
        name.startsWith('@abandonware') ? 'Address family not supported by protocol' : 'Cannot find package',
      );
    });
    expect(failing).toMatchObject({ missing: false, detail: 'Address family not supported by protocol' });
  });
});

describe('the process of the radio', () => {
  it('inherits what Node was started with, but no debugger port', () => {
    expect(inherited(['--import', 'x.js', '--inspect-brk=9229', '--max-semi-space-size=1'])).toEqual([
      '--import',
      'x.js',
      '--max-semi-space-size=1',
    ]);
  });

  it('that crashes is started again at once the first time, then on a ladder; its link is told each time', async () => {
    const dir = mkdtempSync(join(tmpdir(), 'radio-'));
    onTestFinished(() => rmSync(dir, { recursive: true, force: true }));
    const entryPath = join(dir, 'crashes.mjs');
    writeFileSync(entryPath, 'process.exit(3);');
    const waits: number[] = [];
    const timers = {
      after(delayMs: number, run: () => void) {
        // The watch's own rounds and lingering are longer than a test.
        if (delayMs !== 1000 && delayMs !== 10_000) waits.push(delayMs);
        return realTimers.after(delayMs >= 2000 ? 5 : delayMs, run);
      },
    };
    const host = createRadioHost({
      entryPath,
      clock: realClock,
      timers,
      environment: {},
      execArgv: [],
      onTrouble: () => undefined,
    });
    const ends: string[] = [];
    const open = () =>
      host.open(
        { name: 'shed' },
        { opened: () => undefined, bytes: () => undefined, closed: (_, detail) => ends.push(detail) },
      );
    for (let i = 1; i <= 4; i++) {
      open();
      await until(() => ends.length === i);
    }
    expect(ends[0]).toBe('the radio had to be started again: it exited with code 3');
    expect(waits.slice(0, 4)).toEqual([0, 0, 2000, 5000]);
    await host.close();
  });
});
