import { describe, expect, it } from 'vitest';
import { answerPdu } from '../../simulators/wire/modbus/answer.ts';
import { type Make, sunspecWords } from '../../simulators/wire/modbus/models.ts';
import { rtuFrame, rtuSide } from '../../simulators/wire/modbus/rtu-side.ts';
import { tcpSide } from '../../simulators/wire/modbus/tcp-side.ts';
import { READ_EXAMPLE } from '../reference/modbus.ts';
import { LENGTHS, MODULES_160, OFFSETS, PORTS_714, SCALES_802 } from '../reference/sunspec.ts';
import { handClock } from '../support/hand-clock.ts';

const SHOWN = {
  solarW: 181.4,
  solarV: 52.31,
  solarA: 3.47,
  wallW: 0,
  acW: 77.2,
  dcW: 6.5,
  acOn: true,
  chargePct: 64,
  ratedWh: 1640,
  batteryV: 52.4,
  batteryA: 1.74,
  solarWh: 12_345.6,
  acOutputWh: 4321,
  dcOutputWh: 210,
  wallWh: 99,
  heartbeat: 7,
};

/** Where each model stands, walking the chain as a reader would. */
function chain(words: Uint16Array): Map<number, { at: number; length: number }> {
  const found = new Map<number, { at: number; length: number }>();
  for (let at = 2; words[at] !== 0xffff; at += 2 + words[at + 1]!) {
    found.set(words[at]!, { at, length: words[at + 1]! });
  }
  return found;
}

function device(make: Make) {
  const words = sunspecWords(make, 3, SHOWN);
  const models = chain(words);
  const at = (model: number, offset: number): number => words[models.get(model)!.at + offset]!;
  const signed = (word: number): number => (word << 16) >> 16;
  const scaled = (model: number, offset: number, scaleAt: number): number =>
    signed(at(model, offset)) * 10 ** signed(at(model, scaleAt));
  return { words, models, at, scaled };
}

describe('the registers of a simulated SunSpec device', () => {
  it.each([
    ['701', [1, 701, 713, 714, 802]],
    ['103', [1, 103, 160, 802]],
  ] as const)('of make %s stand in a chain of models with their published lengths', (make, ids) => {
    const { words, models } = device(make);
    expect([words[0], words[1]]).toEqual([0x5375, 0x6e53]);
    expect([...models.keys()]).toEqual(ids);
    for (const [id, { length }] of models) {
      if (id in LENGTHS) expect([id, length]).toEqual([id, LENGTHS[id as keyof typeof LENGTHS]]);
    }
    const ports = models.get(714)?.length ?? PORTS_714.head;
    expect((ports - PORTS_714.head) % PORTS_714.each).toBe(0);
    const modules = models.get(160)?.length ?? MODULES_160.head;
    expect((modules - MODULES_160.head) % MODULES_160.each).toBe(0);
  });

  it('hold its values where the published definitions have them: newer models', () => {
    const { at, scaled } = device('701');
    const { 701: ac, 713: store, 714: ports, 802: battery } = OFFSETS;
    expect(scaled(701, ac.W, ac.W_SF)).toBeCloseTo(77.2, 6);
    expect(scaled(701, ac.LNV, ac.V_SF)).toBeCloseTo(230, 6);
    expect(at(701, ac.Hz) * 65_536 + at(701, ac.Hz + 1)).toBe(5000);
    expect(at(701, ac.TotWhInj + 3)).toBe(43_210);
    expect(scaled(713, store.SoC, store.Pct_SF)).toBeCloseTo(64, 6);
    expect(at(713, store.WHAvail)).toBe(Math.round(1640 * 0.64 * 0.98));
    expect(at(714, ports.NPrt)).toBe(4);
    expect(at(714, ports.PrtTyp)).toBe(0);
    expect(at(714, ports.PrtTyp + PORTS_714.each)).toBe(1);
    expect(scaled(714, ports.DCW, ports.DCW_SF)).toBeCloseTo(181.4, 6);
    expect(at(802, battery.ChaSt)).toBe(4);
    expect(at(802, battery.Hb)).toBe(7);
    expect(scaled(802, battery.V, SCALES_802.V_SF)).toBeCloseTo(52.4, 6);
    expect(scaled(802, battery.A, SCALES_802.A_SF)).toBeCloseTo(-1.74, 6);
    expect(scaled(802, battery.W, SCALES_802.W_SF)).toBeCloseTo(-91.2, 6);
    expect(scaled(802, battery.SoC, SCALES_802.SoC_SF)).toBeCloseTo(64, 6);
  });

  it('hold its values where the published definitions have them: older models', () => {
    const { at, scaled } = device('103');
    const { 103: ac, 160: modules, 802: battery } = OFFSETS;
    expect(scaled(103, ac.W, ac.W_SF)).toBeCloseTo(77.2, 6);
    expect(scaled(103, ac.Hz, ac.Hz_SF)).toBeCloseTo(50, 6);
    expect(scaled(103, ac.PhVphA, ac.V_SF)).toBeCloseTo(230, 6);
    expect(at(103, ac.WH) * 65_536 + at(103, ac.WH + 1)).toBe(432_100);
    expect(at(160, modules.N)).toBe(1);
    expect(scaled(160, modules.DCW, modules.DCW_SF)).toBeCloseTo(181.4, 6);
    expect(scaled(160, modules.DCV, modules.DCV_SF)).toBeCloseTo(52.31, 6);
    expect(at(160, modules.DCWH) * 65_536 + at(160, modules.DCWH + 1)).toBe(1_234_560);
    expect(scaled(802, battery.A, SCALES_802.A_SF)).toBeCloseTo(1.74, 6);
  });
});

describe('a simulated Modbus device', () => {
  const holding = { base: 0x6b, words: Uint16Array.from(READ_EXAMPLE.registers) };

  it('answers the specification’s example as printed', () => {
    expect([...answerPdu(Uint8Array.from(READ_EXAMPLE.request), holding)]).toEqual(READ_EXAMPLE.reply);
  });

  it.each([
    ['a write', [0x06, 0, 0x6b, 0, 1], [0x86, 1]],
    ['registers it does not have', [0x03, 0, 0x6c, 0, 3], [0x83, 2]],
    ['too many registers', [0x03, 0, 0x6b, 0, 126], [0x83, 3]],
    ['no register', [0x03, 0, 0x6b, 0, 0], [0x83, 3]],
  ])('refuses %s', (_, request, reply) => {
    expect([...answerPdu(Uint8Array.from(request), holding)]).toEqual(reply);
  });

  it('waits out a silence of 3.5 characters and the request’s own time on the line', () => {
    const clock = handClock();
    const sent: number[] = [];
    const timing = { nowMs: clock.monoMs, after: clock.after };
    const hear = rtuSide({ unit: 17, baud: 9600, timing, answer: pdu => answerPdu(pdu, holding) }, () =>
      sent.push(clock.monoMs()),
    );
    const request = rtuFrame(17, Uint8Array.from(READ_EXAMPLE.request));
    hear(request.subarray(0, 3));
    clock.advance(2);
    hear(request.subarray(3));
    clock.advance(100);
    expect(sent).toHaveLength(1);
    expect(sent[0]).toBeCloseTo(2 + (3.5 + 8) * (10_000 / 9600), 6);
  });

  it('keeps silent to another unit, a wrong checksum, and a request torn by a silence', () => {
    const clock = handClock();
    let answers = 0;
    const timing = { nowMs: clock.monoMs, after: clock.after };
    const hear = rtuSide({ unit: 17, baud: 9600, timing, answer: pdu => answerPdu(pdu, holding) }, () => {
      answers += 1;
    });
    const request = rtuFrame(17, Uint8Array.from(READ_EXAMPLE.request));
    hear(rtuFrame(18, Uint8Array.from(READ_EXAMPLE.request)));
    clock.advance(50);
    hear(Uint8Array.of(...request.subarray(0, -1), request.at(-1)! ^ 1));
    clock.advance(50);
    hear(request.subarray(0, 4));
    clock.advance(10);
    hear(request.subarray(4));
    clock.advance(50);
    expect(answers).toBe(0);
  });

  it('answers over TCP under the request’s number, whatever pieces it comes in', () => {
    const sent: number[][] = [];
    const hear = tcpSide({ unit: 1, answer: pdu => answerPdu(pdu, holding) }, frame => sent.push([...frame]));
    const request = Uint8Array.of(0, 9, 0, 0, 0, 6, 1, ...READ_EXAMPLE.request);
    for (const byte of request) hear(Uint8Array.of(byte));
    expect(sent).toEqual([[0, 9, 0, 0, 0, READ_EXAMPLE.reply.length + 1, 1, ...READ_EXAMPLE.reply]]);
    hear(Uint8Array.of(0, 10, 0, 0, 0, 6, 2, ...READ_EXAMPLE.request));
    expect(sent[1]).toEqual([0, 10, 0, 0, 0, 3, 2, 0x83, 0x0b]);
  });
});
