import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type DecodedReading, isRejection, manifestFault, type Rejection, type RejectionCause, STREAM } from '#kit';
import { builtInAdapters } from '../../protocol-adapters/index.ts';
import { lines } from '../../protocol-adapters/lines/index.ts';

const decode = (line: string | Uint8Array): DecodedReading | Rejection =>
  lines.open().decode(typeof line === 'string' ? Buffer.from(line) : line, STREAM);

const GOOD = '{"inputPowerW":120,"outputPowerW":35,"stateOfChargePct":81}';

/** The answers to a stream that arrives in chunks. */
function play(chunks: readonly Uint8Array[]) {
  const session = lines.open();
  const framer = session.createFramer(STREAM);
  const readings: DecodedReading[] = [];
  const causes: RejectionCause[] = [];
  const onFrame = (frame: Uint8Array): void => {
    const answer = session.decode(frame, STREAM);
    if (isRejection(answer)) causes.push(answer.rejected);
    else readings.push(answer);
  };
  for (const chunk of chunks) framer.push(chunk, onFrame, cause => causes.push(cause));
  framer.end(cause => causes.push(cause));
  return { readings, causes };
}

describe('the lines adapter', () => {
  it('is among the built-ins and keeps to the contract', () => {
    expect(builtInAdapters).toContain(lines);
    for (const { manifest } of builtInAdapters) expect(manifestFault({ ...manifest })).toBeNull();
  });

  it('reads one object a line', () => {
    expect(decode(GOOD)).toEqual({
      quantities: { inputPowerW: 120, outputPowerW: 35, stateOfChargePct: 81 },
      states: {},
      quality: 'good',
      reasons: {},
    });
  });

  it('reads states and leaves out keys it does not know', () => {
    const line = '{"inputPowerW":1,"colour":"red","states":{"onMains":true,"inputSource":"wall","fault":"E4"}}';
    expect(decode(line)).toMatchObject({ states: { onMains: true, inputSource: 'wall', fault: 'E4' } });
  });

  it('keeps a null as "the source does not know", never as zero', () => {
    expect(decode('{"inputPowerW":null,"outputPowerW":3}')).toMatchObject({
      quantities: { inputPowerW: null },
      reasons: { inputPowerW: 'notAvailable' },
      quality: 'good',
    });
  });

  it('refuses an impossible value and doubts the rest of the line', () => {
    expect(decode('{"inputPowerW":-3,"outputPowerW":3}')).toMatchObject({
      quantities: { inputPowerW: null, outputPowerW: 3 },
      reasons: { inputPowerW: 'outOfRange' },
      quality: 'uncertain',
    });
  });

  it.each([
    ['notJson', 'inputPowerW=120'],
    ['notJson', '{"inputPowerW":120'],
    ['notObject', '[1,2]'],
    ['notObject', 'null'],
    ['notObject', '7'],
    ['noQuantity', '{"watts":120}'],
    ['noQuantity', '{"states":{"onMains":true}}'],
    ['notText', Uint8Array.of(0x7b, 0xff, 0x7d)],
  ] as const)('rejects as %s: %s', (cause, line) => {
    expect(decode(line)).toMatchObject({ rejected: cause });
  });

  it('gives a reading or a rejection for any JSON, and the same one each time', () => {
    fc.assert(
      fc.property(fc.json(), line => {
        const answer = decode(line);
        expect(decode(line)).toEqual(answer);
        if (isRejection(answer)) expect(answer.detail.length).toBeLessThanOrEqual(120);
      }),
    );
  });

  it('never throws on any bytes in any pieces', () => {
    fc.assert(fc.property(fc.array(fc.uint8Array({ maxLength: 200 })), chunks => void play(chunks)));
  });

  it('reads every good line but at most the one a burst of noise ran into', () => {
    const noise = fc.uint8Array({ minLength: 1, maxLength: 9000 });
    fc.assert(
      fc.property(noise, fc.integer({ min: 1, max: 10 }), (garbage, after) => {
        const good = Buffer.from(`${GOOD}\n`);
        const { readings } = play([good, garbage, ...Array.from({ length: after }, () => good)]);
        const mine = readings.filter(reading => reading.quantities.inputPowerW === 120);
        expect(mine.length).toBeGreaterThanOrEqual(after);
      }),
    );
  });
});
