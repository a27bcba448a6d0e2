import { describe, expect, test } from 'vitest';
import { batch, freshFolder, openTestRecord, reading } from '../support/record.ts';

const STATION = reading(1, {}).station;

describe('what was learned of a station', () => {
  test('is kept with the readings it came with, and the newest word stands', () => {
    const dir = freshFolder();
    const record = openTestRecord(dir);
    expect(record.learned(STATION)).toBeNull();
    const rows = batch([reading(1, { inputPowerW: 1 })]);
    record.commit({ ...rows, learned: [{ station: STATION, valueJson: '{"a":1}' }] });
    record.commit({ ...batch([]), learned: [{ station: STATION, valueJson: '{"a":2}' }] });
    record.close();
    const again = openTestRecord(dir);
    expect(again.learned(STATION)).toBe('{"a":2}');
    again.close();
  });
});
