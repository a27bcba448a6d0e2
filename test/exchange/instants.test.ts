import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { instantReader, parseInstant } from '../../agent/exchange/instants.ts';

describe('instants in rows that follow each other', () => {
  test('an instant is the same read alone and behind others', () => {
    const text = fc
      .tuple(
        fc.constantFrom(
          '2026-06-03T11:15',
          '2026-06-03 11:15',
          '2026-06-03T11:16',
          '2026-04-31T11:15',
          '1969-12-31T23:59',
        ),
        fc.constantFrom('', ':00', ':07', ':59', ':60', ':7', ':07.5', ':07.250', ':07,250', ':07.2504'),
        fc.constantFrom('Z', 'z', '+02:00', '+0200', '-05', '', '+00:00'),
      )
      .map(parts => parts.join(''));
    fc.assert(
      fc.property(
        fc.array(fc.oneof(text, fc.constantFrom('1780478100500', '-5', 'noon')), { maxLength: 30 }),
        texts => {
          const read = instantReader();
          expect(texts.map(read)).toEqual(texts.map(parseInstant));
        },
      ),
    );
  });
});
