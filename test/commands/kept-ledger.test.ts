/** Answers of the Ledger that are kept: a real record under every kind of change, real files. */
import { readdirSync, readFileSync, statSync, truncateSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { civilDate, shiftDate, startOfDate } from '#energy/civil-day';
import type { Batch } from '#messages';
import { ledgerAnswer } from '../../agent/commands/ledger-answer.ts';
import { factsOfSettings } from '../../agent/commands/ledger-facts.ts';
import { type KeptFiles, type KeptLimits, keptFiles } from '../../agent/commands/run/reading/kept-files.ts';
import { createKeptLedger, type DaysAsked, ledgerTag } from '../../agent/commands/run/reading/kept-ledger.ts';
import { handClock } from '../support/hand-clock.ts';
import { seededRandom } from '../support/kill-rounds.ts';
import { dayAt, factOf, recordedDays, shedSettings, ZONE } from '../support/ledger-record.ts';
import { batch, freshFolder, reading } from '../support/record.ts';

const FIRST = '2026-06-08';
const TODAY = '2026-06-20';
const HOUR_MS = 3_600_000;
const MINUTE_MS = 60_000;
const settings = shedSettings();

/** Twelve days on record with an hour missing in each, today's first hours, and what is asked of them. */
function stage(limits?: KeptLimits) {
  const record = recordedDays({ from: FIRST, days: 12, stepMs: 15 * MINUTE_MS, missing: hour => hour % 24 === 10 });
  record.commit(batch([], { facts: factsOfSettings(settings, { perKWh: 0.3, currency: 'EUR' }) }));
  let nowMs = startOfDate(TODAY, ZONE) + 8 * HOUR_MS;
  let seq = record.cursor('shed')!.seq;
  let lastAt = record.extent('shed')!.toMs;
  const dir = join(freshFolder(), 'ledger');
  const files = keptFiles(dir, limits);
  const clock = handClock();
  const asked = (): DaysAsked => ({
    station: 'shed',
    zone: ZONE,
    from: FIRST,
    to: shiftDate(civilDate(nowMs, ZONE), -1),
  });
  const worked: string[] = [];
  const fresh = (of = asked()) => JSON.stringify(ledgerAnswer(record, { ...of, nowMs }));
  const parts = {
    record: () => record,
    files: (): KeptFiles => files,
    dir: () => dir,
    ask: (of: DaysAsked) => {
      worked.push(`${of.from} ${of.to}`);
      const text = Buffer.from(fresh(of));
      const pieces = [text.subarray(0, 1000), text.subarray(1000)].values();
      return { next: async () => pieces.next() } as AsyncIterator<Uint8Array>;
    },
    firsts: (): readonly DaysAsked[] => [],
    program: '1',
    nowMs: () => nowMs,
    timers: { after: clock.after },
  };
  const ledger = createKeptLedger(parts);
  const told = async (of = asked()) => {
    const { body } = ledger.ledger(of);
    const pieces: Uint8Array[] = [];
    for (let step = await body.next(); step.done !== true; step = await body.next()) pieces.push(step.value);
    return Buffer.concat(pieces).toString();
  };
  const say = (more: Partial<Batch>) => record.commit(batch([], more));
  return {
    record,
    dir,
    parts,
    ledger,
    worked,
    fresh,
    told,
    say,
    asked,
    tag: () => ledgerTag(parts, asked()),
    later: (ms: number) => {
      nowMs += ms;
    },
    /** Today goes on. */
    reads(count: number, states = {}, more: Partial<Batch> = {}) {
      const readings = Array.from({ length: count }, (_, i) => {
        const at = Math.max(lastAt, startOfDate(TODAY, ZONE)) + (i + 1) * 5 * MINUTE_MS;
        return reading(++seq, { inputPowerW: 90, stateOfChargePct: 70 }, { at, monoMs: at, states });
      });
      lastAt = readings.at(-1)!.at;
      record.commit(batch(readings, more));
    },
    older(date: string) {
      const at = dayAt(date).startMs + 10 * HOUR_MS + 10 * MINUTE_MS;
      // Totals that stay as they are: only a minute is added.
      record.insertOlder({
        station: 'shed',
        readings: [reading(1, { inputPowerW: 40 }, { at, session: `old ${date}` })],
        gap: null,
        days: [],
        spans: [],
        outages: [],
      });
    },
  };
}

type Stage = ReturnType<typeof stage>;

const span = (fromMs: number, toMs: number | null, takenBackAt: number | null = null) => ({
  station: 'shed',
  reason: 'lent' as const,
  fromMs,
  toMs,
  note: '',
  takenBackAt,
});
const noon = (date: string) => dayAt(date).startMs + 12 * HOUR_MS;
const endOfYesterday = startOfDate(TODAY, ZONE) - 10 * MINUTE_MS;
const FUTURE_AT = startOfDate(TODAY, ZONE) + 30 * HOUR_MS;
const COUNTED = {
  station: 'shed',
  quantity: 'solarEnergyWh' as const,
  fromAt: noon('2026-06-12'),
  toAt: noon('2026-06-12') + HOUR_MS,
  milliJ: 3_600_000,
  cause: 'counted' as const,
  gapMs: HOUR_MS,
  fromMilliWh: 0,
  toMilliWh: 1000,
  stepMilliWh: 1000,
};

/** What an answer rests on, changed one by one. */
const CHANGES: Record<string, (to: Stage) => void> = {
  'a fact that is dated back': s =>
    s.say({ facts: [factOf('panel', [{ name: 'A', ratedW: 100, tiltDeg: 20, azimuthDeg: 170 }], noon('2026-06-11'))] }),
  'a fact moved': s =>
    s.say({
      movedFacts: [{ station: 'shed', key: 'panel', fromMs: noon('2026-06-11'), toMs: noon('2026-06-13') }],
    }),
  'a price': s => s.say({ facts: [factOf('tariff', { perKWh: 0.4, currency: 'EUR' }, noon('2026-06-14'))] }),
  'a price dated ahead': s => s.say({ facts: [factOf('tariff', { perKWh: 0.1, currency: 'CHF' }, FUTURE_AT)] }),
  'a span': s => s.say({ toldSpans: [span(noon('2026-06-12'), noon('2026-06-13'))] }),
  'a span taken back': s => s.say({ toldSpans: [span(noon('2026-06-12'), noon('2026-06-13'), noon(TODAY))] }),
  'a span up to the end of yesterday': s => s.say({ toldSpans: [span(noon('2026-06-18'), endOfYesterday)] }),
  'a span that lasts': s => s.say({ toldSpans: [span(noon('2026-06-19') + HOUR_MS, null)] }),
  'a block that a counter bridged': s => s.reads(1, {}, { bridges: [COUNTED] }),
  'older readings that change no total': s => s.older('2026-06-12'),
  'older readings of yesterday': s => s.older('2026-06-19'),
};

describe('an answer of the Ledger for days that are over', () => {
  it('is the same as a fresh one after any change, in any order, and worked out again only then', async () => {
    for (const seed of [1, 2]) {
      const s = stage();
      const random = seededRandom(seed);
      const names = Object.keys(CHANGES).sort(() => random() - 0.5);
      const check = async (after: string) => expect(await s.told(), after).toBe(s.fresh());
      s.reads(3);
      await check('the first');
      for (const name of names) {
        CHANGES[name]!(s);
        await check(name);
        const before = s.worked.length;
        s.later(MINUTE_MS);
        await check(`${name}, again`);
        expect(s.worked, `${name}, again`).toHaveLength(before);
        s.reads(3);
        await check(`readings of today after ${name}`);
      }
      s.reads(2, { inputLimitedBy: 'battery' });
      await check('a station that says what holds it back');
      s.later(24 * HOUR_MS);
      await check('midnight');
      s.later(3 * HOUR_MS);
      await check('the moment a price was dated ahead to');
    }
    // Some two hundred Ledgers.
  }, 240_000);

  it.each(Object.keys(CHANGES).filter(name => !/taken back|moved/.test(name)))('has another tag after %s', name => {
    const s = stage();
    s.reads(3);
    const before = s.tag();
    expect(before).not.toBeNull();
    s.reads(3);
    expect(s.tag()).toBe(before);
    CHANGES[name]!(s);
    expect(s.tag()).not.toBe(before);
  });

  it('is not kept where it reaches into today, is short, or changed while it was worked out', async () => {
    const s = stage();
    const today = { ...s.asked(), to: TODAY };
    expect([s.ledger.ledger(today).tag, s.ledger.ledger({ ...s.asked(), from: '2026-06-17' }).tag]).toEqual([
      null,
      null,
    ]);
    const { body } = s.ledger.ledger(s.asked());
    await body.next();
    s.older('2026-06-12');
    while ((await body.next()).done !== true);
    expect(keptIn(s.dir)).toEqual([]);
  });

  it('that nobody took to its end is not kept', async () => {
    const s = stage();
    const { body } = s.ledger.ledger(s.asked());
    await body.next();
    await body.return!();
    expect(readdirSync(s.dir)).toEqual(['asked.json']);
  });

  it('is worked out ahead of the next time, after midnight and after a start', async () => {
    const s = stage();
    await s.told();
    await s.ledger.renew();
    expect(s.worked).toHaveLength(1);
    s.later(24 * HOUR_MS);
    await s.ledger.renew();
    expect(s.worked).toEqual([`${FIRST} 2026-06-19`, `${FIRST} 2026-06-20`]);
    const again = createKeptLedger(s.parts);
    s.older('2026-06-12');
    await again.renew();
    expect(s.worked).toHaveLength(3);
    await s.told();
    expect(s.worked).toHaveLength(3);
    s.later(15 * 24 * HOUR_MS);
    await again.renew();
    expect(s.worked).toHaveLength(3);
  });

  it('is worked out ahead where a page would ask for it first, so that the first look ever finds it', async () => {
    const s = stage();
    const before = createKeptLedger({ ...s.parts, firsts: () => [s.asked()] });
    await before.renew();
    expect(s.worked).toHaveLength(1);
    expect(await s.told()).toBe(s.fresh());
    expect(s.worked).toHaveLength(1);
  });
});

const keptIn = (dir: string) => readdirSync(dir).filter(name => name.endsWith('.kept'));

describe('kept files', () => {
  it('that are torn, rotten or lost are none', async () => {
    const s = stage();
    const spoil: ((path: string) => void)[] = [
      path => truncateSync(path, statSync(path).size - 1),
      path => truncateSync(path, 0),
      path => {
        const bytes = readFileSync(path);
        bytes[40]! ^= 1;
        writeFileSync(path, bytes);
      },
    ];
    for (const act of spoil) {
      await s.told();
      const before = s.worked.length;
      act(join(s.dir, keptIn(s.dir)[0]!));
      expect(await s.told()).toBe(s.fresh());
      expect(s.worked).toHaveLength(before + 1);
    }
  });

  it('are few and small together: those used longest ago go', async () => {
    const dir = freshFolder();
    const files = keptFiles(dir, { files: 3, bytes: 1000 });
    const keep = async (name: string, bytes: number) => {
      const pieces = [Buffer.alloc(bytes, 7)].values();
      const all = files.keeping(name, { next: async () => pieces.next() }, () => true);
      while ((await all.next()).done !== true);
    };
    for (const name of ['a', 'b', 'c', 'd']) await keep(name, 100);
    expect(keptIn(dir)).toHaveLength(3);
    await keep('e', 700);
    expect(keptIn(dir)).toEqual(expect.arrayContaining(['e.kept']));
    expect(keptIn(dir).length).toBeLessThan(4);
    await keep('f', 2000);
    expect(keptIn(dir)).not.toContain('f.kept');
  });
});
