import { describe, expect, it } from 'vitest';
import { createPacer } from '../../simulators/wire/pacer.ts';
import { fc } from './property.ts';

const total = (pieces: Uint8Array[]) => pieces.reduce((n, p) => n + p.length, 0);

describe('the pace of a serial line', () => {
  it('lets out ten bits a byte: 1152 bytes in 100 ms at 115200 baud', () => {
    const pacer = createPacer(115_200);
    pacer.push(new Uint8Array(5000), 0);
    let out = 0;
    for (let ms = 4; ms <= 100; ms += 4) out += total(pacer.take(ms));
    expect(out).toBe(1152);
  });

  it('gives no credit for the time it was idle', () => {
    const pacer = createPacer(9600);
    pacer.push(new Uint8Array(10), 0);
    expect(total(pacer.take(1000))).toBe(10);
    pacer.push(new Uint8Array(1000), 60_000);
    expect(total(pacer.take(60_010))).toBeLessThanOrEqual(10);
  });

  it('keeps every byte in order, however it is asked', () => {
    fc.assert(
      fc.property(
        fc.array(fc.uint8Array({ maxLength: 40 })),
        fc.array(fc.integer({ min: 0, max: 9 })),
        (frames, waits) => {
          const pacer = createPacer(57_600);
          for (const frame of frames) pacer.push(frame, 0);
          const out: number[] = [];
          let ms = 0;
          for (const wait of [...waits, 100_000]) {
            ms += wait;
            for (const p of pacer.take(ms)) out.push(...p);
          }
          expect(out).toEqual(frames.flatMap(f => [...f]));
        },
      ),
    );
  });

  it('loses whole frames when more is waiting than a small device could hold', () => {
    const pacer = createPacer(115_200);
    const kept = Array.from({ length: 100 }, () => pacer.push(new Uint8Array(400), 0)).filter(Boolean).length;
    expect(kept).toBe(40);
  });
});
