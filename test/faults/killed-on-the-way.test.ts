/** Each kind of work on a record, killed before one of its calls to the disk; the long loops take many of them. */
import { describe, expect } from 'vitest';
import { killOnTheWay } from '../support/killed-on-the-way.ts';
import { needs } from '../support/needs.ts';

describe('kill -9', () => {
  needs('cc')('while a log is recovered leaves every commit', () => {
    expect(killOnTheWay('open', [3])).toBe(1);
  });

  needs('cc')('while days are sealed and raw readings let go loses no minute and no total', () => {
    expect(killOnTheWay('tend', [30])).toBe(1);
  });

  needs('cc')('while older readings are added adds all of them or none', () => {
    expect(killOnTheWay('older', [11])).toBe(1);
  });

  needs('cc')('while a snapshot is made leaves one that is proven or one that is refused', () => {
    expect(killOnTheWay('snapshot', [4])).toBe(1);
  });

  needs('cc')(
    'while a damaged record is rescued, and again as that begins anew, loses nothing that can be read',
    () => {
      expect(killOnTheWay('rescue', [6])).toBe(1);
    },
  );
});
