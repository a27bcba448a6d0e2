import { describe, expect, it } from 'vitest';
import {
  type Adapter,
  type AdapterManifest,
  type AdapterSession,
  API_VERSION,
  type Capture,
  type Check,
  type ConformanceOptions,
  conformanceText,
  createDelimiterFramer,
  createFixedLengthFramer,
  createLengthFieldFramer,
  createSilenceFramer,
  createWholeFramer,
  type Framer,
  runConformance,
  type Sample,
  type ScriptedStation,
  type Talk,
  tableDecoder,
  trailerHolds,
  withTrailer,
  xor8,
} from '#kit';
import { bytesOf, hexOf } from '../support/feed.ts';

const CHECKSUM = { checksum: xor8, bytes: 1 };
const HEAD = [0xaa, 4];

const manifest: AdapterManifest = {
  id: 'subject',
  title: 'A subject of checks',
  version: '1',
  apiVersion: API_VERSION,
  transports: ['serial'],
  gives: ['inputPowerW', 'stateOfChargePct', 'batteryVoltageV', 'batteryCurrentA', 'batteryPowerW'],
  intervalMs: 1000,
  maxFrameBytes: 16,
  maxReadingsPerS: 5,
};

/** Length field, four bytes, XOR: input W (u16), percent, volts in tenths. */
const table = tableDecoder({
  minBytes: 7,
  fields: [
    { gives: 'inputPowerW', at: 2, type: 'u16' },
    { gives: 'stateOfChargePct', at: 4, type: 'u8' },
    { gives: 'batteryVoltageV', at: 5, type: 'u8', scale: 0.1 },
  ],
});
const framer = (): Framer =>
  createLengthFieldFramer({
    maxFrameBytes: 16,
    start: HEAD.slice(0, 1),
    lengthAt: 1,
    adjust: 3,
    holds: frame => trailerHolds(frame, CHECKSUM),
  });
const good: AdapterSession = { createFramer: framer, decode: table };

const frameOf = (inputW: number, percent: number, tenths: number): Uint8Array =>
  withTrailer([...HEAD, inputW & 255, inputW >> 8, percent, tenths], CHECKSUM);
const SAMPLES: readonly Sample[] = [
  { name: 'a', hex: hexOf(frameOf(120, 81, 132)), expects: { inputPowerW: 120, batteryVoltageV: 13.2 } },
  { name: 'b', hex: hexOf(frameOf(0, 12, 121)) },
];

const adapter = (session: Partial<AdapterSession>, change: Partial<AdapterManifest> = {}): Adapter => ({
  manifest: { ...manifest, ...change },
  open: () => ({ ...good, ...session }),
});
const check = (subject: unknown, options: Partial<ConformanceOptions> = { samples: SAMPLES }) =>
  runConformance(subject, { seed: 1, ...options });
const failures = (checks: readonly Check[]) =>
  Object.fromEntries(checks.filter(({ ok }) => !ok).map(({ name, detail }) => [name, detail]));
const faultsOf = (subject: unknown, options?: Partial<ConformanceOptions>) => failures(check(subject, options).checks);

describe('the conformance suite', () => {
  it('passes a good adapter, and leaves open what needs a capture', () => {
    const report = check(adapter({}));
    expect(failures(report.checks)).toEqual({});
    expect(report.ok).toBe(true);
    expect(report.checks.filter(({ pending }) => pending).map(({ name }) => name)).toEqual(['rate']);
    expect(conformanceText(report)).toMatch(/subject: \d+ checks passed, 1 open for want of bytes \(seed 1\)\n$/);
  });

  it('leaves open what needs bytes where there are none', () => {
    const report = check(adapter({}), {});
    expect(report.ok).toBe(true);
    expect(report.checks.filter(({ pending }) => pending).map(({ name }) => name)).toEqual([
      'samples',
      'noise',
      'ranges',
      'rate',
      'units',
    ]);
  });

  it('refuses what is no adapter, and one that cannot be opened', () => {
    expect(faultsOf({ manifest })).toEqual({ manifest: 'it has no open function' });
    expect(faultsOf(adapter({}, { apiVersion: 99 }))).toHaveProperty('manifest');
    const shut = {
      manifest,
      open: () => {
        throw new Error('no');
      },
    };
    expect(faultsOf(shut)).toEqual({ opens: 'the adapter threw Error: no' });
  });

  it('holds samples against what their author says, and says what is wrong with one', () => {
    const wrong: Sample = { ...SAMPLES[0]!, expects: { inputPowerW: 121 } };
    expect(faultsOf(adapter({}), { samples: [wrong] })).toEqual({
      samples: 'sample "a": inputPowerW is 120, 121 expected',
    });
    expect(faultsOf(adapter({}), { samples: [{ name: 'c', hex: 'aa 04 00' }] })).toEqual({
      samples: 'sample "c" gives no reading (incomplete)',
    });
    const broken: Sample = { name: 'd', hex: 'aa 04 00 00 00 00 00', rejected: 'checksum' };
    expect(faultsOf(adapter({}), { samples: [...SAMPLES, broken] })).toEqual({});
    expect(faultsOf(adapter({}), { samples: [{ name: 'e', hex: '0' }] })).toHaveProperty('samples');
    expect(faultsOf(adapter({}), { samples: [{ name: 'f' }] })).toHaveProperty('samples');
  });
});

describe('the checks of framing', () => {
  it('find a framer that takes a chunk for a frame', () => {
    const chunks: Framer = { push: (chunk, onFrame) => onFrame(chunk), end: () => undefined };
    expect(faultsOf(adapter({ createFramer: () => chunks }))).toMatchObject({
      'random splits': 'sample "a": what comes out depends on where the bytes were cut',
    });
  });

  it('find one that never comes back into step', () => {
    const blind = () => createFixedLengthFramer({ bytes: 7 });
    expect(faultsOf(adapter({ createFramer: blind }))).toHaveProperty('noise');
  });

  it('find one that throws at noise, and one whose frames are too long', () => {
    const picky: Framer = {
      ...framer(),
      push(chunk) {
        if (chunk.length > 500) throw new Error('too much');
      },
      end: () => undefined,
    };
    expect(faultsOf(adapter({ createFramer: () => picky })).noise).toContain('too much');
    const long = () => createDelimiterFramer({ maxFrameBytes: 60 });
    expect(faultsOf(adapter({ createFramer: long }), {})).toHaveProperty('frame ceiling');
  });
});

describe('the checks of decode', () => {
  const decoding = (decode: AdapterSession['decode'], samples = SAMPLES) => faultsOf(adapter({ decode }), { samples });
  const reading = (quantities: object) => ({ quantities, states: {}, quality: 'good', reasons: {} }) as const;

  it('find a throw', () => {
    const fault = decoding(frame => {
      if (frame.length > 7) throw new Error('longer than I thought');
      return table(frame);
    });
    expect(fault['any frame']).toContain('longer than I thought');
  });

  it.each<[string, AdapterSession['decode'], string]>([
    ['the clock', () => reading({ inputPowerW: Date.now() % 7 }), 'decode uses the clock'],
    ['the time of day', () => reading({ inputPowerW: new Date().getHours() * 0 }), 'decode uses the clock'],
    ['chance', () => reading({ inputPowerW: Math.random() * 0 }), 'decode uses chance'],
    ['timers', frame => (setTimeout(() => undefined, 0) ? table(frame) : table(frame)), 'decode uses timers'],
  ])('find one that uses %s', (_, decode, words) => {
    expect(decoding(decode).purity).toMatch(new RegExp(`${words}|same frame`));
  });

  it('find one that changes the frame, one that keeps it, one that remembers', () => {
    expect(decoding(frame => table(frame.reverse())).purity).toContain('changes the bytes');
    expect(decoding(frame => ({ ...reading({ inputPowerW: 1 }), raw: frame })).purity).toContain(
      'changes with the frame',
    );
    let last = 0;
    const remembers = decoding(frame => {
      const answer = reading({ inputPowerW: last });
      last = frame[2] ?? 0;
      return answer;
    });
    expect(remembers.purity).toContain('the same frame');
  });

  it('find a missing scale, and say which would fit', () => {
    const raw = decoding(
      frame => ({ ...reading({ batteryVoltageV: (frame[5] ?? 0) * 100 }) }),
      [SAMPLES[0]!, SAMPLES[1]!].map(({ expects: _, ...rest }) => rest),
    );
    expect(raw.ranges).toBe('batteryVoltageV is 12100, beyond 0 to 1000 V; × 0.01 would fit: a scale is missing');
  });

  it('find units that contradict each other', () => {
    const samples = SAMPLES.map(({ expects: _, ...rest }) => rest);
    const units = (quantities: object) => decoding(() => reading(quantities), samples).units;
    expect(units({ batteryPowerW: 1320, batteryVoltageV: 13.2, batteryCurrentA: 10 })).toContain(
      'is 10 × batteryVoltageV',
    );
    expect(units({ batteryPowerW: 132, batteryVoltageV: 13.2, batteryCurrentA: 10 })).toBeUndefined();
    expect(units({ stateOfChargePct: 0.81 })).toContain('fraction');
  });

  it('find a quantity that the manifest does not name', () => {
    expect(decoding(() => reading({ inputPowerW: 120, batteryVoltageV: 13.2, airTempC: 20 }))).toEqual({
      'manifest honesty': 'it gives airTempC, which manifest.gives does not name',
    });
  });
});

describe('the checks of sessions', () => {
  it('find bytes that outlive their session', () => {
    const shared = framer();
    expect(
      faultsOf(adapter({ createFramer: () => ({ ...shared, push: shared.push.bind(shared), end: () => undefined }) })),
    ).toHaveProperty('reconnect');
  });

  const capture = (everyMs: number): Capture => ({
    name: 'recorded',
    chunks: Array.from({ length: 20 }, (_, i) => ({
      atMs: i * everyMs,
      way: 'in',
      place: '',
      bytes: frameOf(i, 50, 130),
    })),
  });

  it('hold the pace of a capture against the manifest', () => {
    expect(faultsOf(adapter({}), { captures: [capture(1000)] })).toEqual({});
    expect(faultsOf(adapter({}), { captures: [capture(50)] })).toEqual({
      rate: '20.0 readings a second arrive; maxReadingsPerS is 5',
    });
    expect(faultsOf(adapter({}), { captures: [capture(9000)] }).rate).toContain('often be stale');
    expect(faultsOf(adapter({}, { intervalMs: 100, maxReadingsPerS: 1 })).rate).toContain('faster than');
  });

  it('take a silence for one where the capture has it, and take a capture that begins and ends within a frame', () => {
    const bySilence = () => createSilenceFramer({ maxFrameBytes: 16, idleMs: 40 });
    const halves: Capture = {
      name: 'halves',
      chunks: capture(1000).chunks.flatMap(({ atMs, bytes, ...rest }) => [
        { ...rest, atMs, bytes: bytes.subarray(0, 3) },
        { ...rest, atMs: atMs + 16, bytes: bytes.subarray(3) },
      ]),
    };
    expect(faultsOf(adapter({ createFramer: bySilence }), { captures: [halves] })).toEqual({});
    const torn = { ...halves, chunks: halves.chunks.slice(1, -1) };
    expect(faultsOf(adapter({}), { captures: [torn] })).toEqual({});
  });

  it('take a Bluetooth capture whose places are called by their UUIDs', () => {
    const ble = {
      find: { namePrefix: 'Hive' },
      characteristics: { figures: { service: 'fff0', uuid: 'fff1', use: ['notify'] as const } },
    };
    const subject = adapter(
      { createFramer: () => createWholeFramer({ maxFrameBytes: 16 }) },
      { transports: ['ble'], ble },
    );
    const named = capture(1000).chunks.map((chunk, i) => ({ ...chunk, place: i === 3 ? 'ffff' : 'fff1' }));
    const report = check(subject, { captures: [{ name: 'air', chunks: named }] });
    expect(failures(report.checks)).toEqual({});
    expect(report.checks.find(({ name }) => name === 'captures')?.detail).toBe('air: 19 readings');
  });

  it('find a capture that gives nothing', () => {
    const mute: Capture = { name: 'mute', chunks: [{ atMs: 0, way: 'in', place: '', bytes: bytesOf('00 01 02') }] };
    expect(faultsOf(adapter({}), { captures: [mute] })).toEqual({ captures: 'mute: 1 malformed' });
  });
});

describe('the checks of talks', () => {
  const POWER = bytesOf('01');
  const LEVEL = bytesOf('02');
  const listed = {
    requests: [
      { name: 'power', bytes: '01' },
      { name: 'level', bytes: '02' },
    ],
  };
  const answer = (kind: number, value: number) => withTrailer([0xaa, 2, kind, value], CHECKSUM);
  const station = (): ScriptedStation => ({
    unasked: [],
    read: () => [],
    asked: ([kind = 0]) => [{ from: '', bytes: answer(kind, kind === 1 ? 120 : 81), delayMs: 10 }],
  });
  const give = (quantities: object) =>
    ({ step: 'give', answer: { quantities, states: {}, quality: 'good', reasons: {} } }) as const;
  const asking = (talk: () => Talk, change: Partial<AdapterManifest> = listed, withStation = station) =>
    faultsOf(adapter({ talk, decode: () => ({ rejected: 'unexpected', detail: '' }) }, change), {
      station: withStation,
    });

  const isKind = (kind: number | null) => (frame: Uint8Array) => kind === null || frame[2] === kind;
  /** Asks both, and gives what it could get. `checks`: looks at the kind of an answer. */
  const both = (checks = true) =>
    function* (): Talk {
      for (;;) {
        const power = yield { step: 'ask', send: POWER, accepts: isKind(checks ? 1 : null), withinMs: 200 };
        if ('frame' in power) yield give({ inputPowerW: power.frame[3] });
        const level = yield { step: 'ask', send: LEVEL, accepts: isKind(checks ? 2 : null), withinMs: 200 };
        if ('frame' in level) yield give({ stateOfChargePct: level.frame[3] });
        yield { step: 'rest' };
      }
    };

  it('pass a talk that asks what it lists and knows its answers', () => {
    expect(asking(both())).toEqual({});
  });

  it('find an unlisted question', () => {
    expect(asking(both(), { requests: [{ name: 'power', bytes: '01' }] }).talk).toBe(
      'it sends 02, which manifest.requests does not list',
    );
  });

  it('find a late answer that passes for another', () => {
    expect(asking(both(false))['late answers']).toMatch(
      /^answers \d+ ms late: (inputPowerW became 81|stateOfChargePct is outOfRange)$/,
    );
  });

  it('find a throw at an answer that belongs to another question', () => {
    const fault = asking(function* () {
      for (;;) {
        for (const send of [POWER, LEVEL]) {
          const told = yield { step: 'ask', send, accepts: () => true, withinMs: 200 };
          if ('frame' in told && told.frame[2] !== send[0]) throw new Error('what is this');
          if ('frame' in told) yield give({ [send === POWER ? 'inputPowerW' : 'stateOfChargePct']: told.frame[3] });
        }
        yield { step: 'rest' };
      }
    });
    expect(fault['wrong answers']).toMatch(/answers doubled: .*what is this/);
  });

  it('find readings that nobody asked a station for, a flood, a talk that never waits and one that gives up', () => {
    const invented = asking(function* () {
      for (;;) {
        yield give({ inputPowerW: 5 });
        yield { step: 'rest' };
      }
    });
    expect(invented['no answer']).toBe('readings, though nothing was answered');
    const flood = asking(
      function* () {
        for (;;) {
          const power = yield { step: 'ask', send: POWER, accepts: () => true, withinMs: 200 };
          if ('frame' in power && power.frame[3] === 3) yield { step: 'rest' };
        }
      },
      listed,
      () => ({ ...station(), asked: () => [{ from: '', bytes: answer(1, 1), delayMs: 1 }] }),
    );
    expect(flood.talk).toMatch(/questions a second, 50 at most/);
    const busy = asking(function* () {
      for (;;) yield give({ inputPowerW: 5 });
    });
    expect(busy.talk).toContain('goes on for ever without waiting');
    const fast = asking(
      function* () {
        for (;;) {
          const power = yield { step: 'ask', send: POWER, accepts: () => true, withinMs: 200 };
          if ('frame' in power) yield give({ inputPowerW: 120 });
        }
      },
      listed,
      () => ({ ...station(), asked: () => [{ from: '', bytes: answer(1, 120), delayMs: 60 }] }),
    );
    expect(fast.talk).toMatch(/readings a second; maxReadingsPerS is 5/);
  });

  it('answer as samples say, with questions of their own', () => {
    const samples: readonly Sample[] = [
      { name: 'power', asked: '01', hex: hexOf(answer(1, 120)), expects: { inputPowerW: 120 } },
      { name: 'level', asked: '02', hex: hexOf(answer(2, 81)), expects: { stateOfChargePct: 80 } },
    ];
    const subject = adapter({ talk: both(), decode: () => ({ rejected: 'unexpected', detail: '' }) }, listed);
    expect(faultsOf(subject, { samples })).toEqual({ talk: 'sample "level": stateOfChargePct is 81, 80 expected' });
    expect(faultsOf(subject, { samples: samples.slice(0, 1) })).toEqual({});
  });

  it('read a Bluetooth station by name, and find a read or a question that the manifest does not allow', () => {
    const ble = {
      find: { namePrefix: 'Hive' },
      characteristics: {
        power: { service: 'fff0', uuid: 'fff1', use: ['notify', 'read'] as const },
        ask: { service: 'fff0', uuid: 'fff2', use: ['write'] as const },
      },
    };
    const reading = (from: string) =>
      function* (): Talk {
        for (;;) {
          const told = yield { step: 'read', from, withinMs: 500 };
          if ('frame' in told && told.frame.length > 0) yield give({ inputPowerW: told.frame[0] });
          yield { step: 'rest' };
        }
      };
    const subject = (talk: () => Talk) =>
      adapter(
        {
          talk,
          createFramer: () => createWholeFramer({ maxFrameBytes: 16 }),
          decode: ([watts = 0]) => ({ quantities: { inputPowerW: watts }, states: {}, quality: 'good', reasons: {} }),
        },
        { transports: ['ble'], ble, requests: [{ name: 'power', bytes: '01', to: 'ask' }] },
      );
    const samples: readonly Sample[] = [{ name: 'power', from: 'power', hex: '78', expects: { inputPowerW: 120 } }];
    expect(faultsOf(subject(reading('power')), { samples })).toEqual({});
    expect(faultsOf(subject(reading('ask')), { samples }).talk).toBe('it reads ask, which the manifest does not allow');
    const elsewhere = faultsOf(
      subject(function* () {
        for (;;) {
          yield { step: 'ask', send: POWER, to: 'power', accepts: () => true, withinMs: 500 };
          yield { step: 'rest' };
        }
      }),
      { samples },
    );
    expect(elsewhere.talk).toBe('it sends 01 to power, which manifest.requests does not list');
  });
});
