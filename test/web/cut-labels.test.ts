import { describe, expect, it } from 'vitest';
import { type Cut, placeCuts } from '../../web/views/ledger-day/cut-labels.ts';

/** A pixel a minute, each label twenty wide, the line tall where it is told to be. */
const place = (cuts: readonly Cut[], isTall: (minute: number) => boolean, width = 20) => {
  const at = Array.from({ length: 200 }, (_, minute) => minute);
  const line = { at, output: at.map(minute => (isTall(minute) ? 250 : 20)), tallW: 200 };
  return placeCuts(cuts, line, { left: 0, right: 199, x: minute => minute, width: () => width });
};
const cut = (at: number, watts = 900): Cut => ({ at, watts, label: `${watts} W` });

describe('the watts of a spike that is cut off', () => {
  it('stand right of it, clear of its own flank', () => {
    expect(place([cut(52)], minute => minute >= 50 && minute < 58)).toEqual([{ x: 63, label: '900 W' }]);
  });

  it('stand left of it at the right edge, or where the line rises again too soon', () => {
    expect(place([cut(190)], minute => minute >= 188 && minute < 192)).toEqual([{ x: 163, label: '900 W' }]);
    expect(place([cut(52)], minute => minute === 52 || minute === 70)).toEqual([{ x: 27, label: '900 W' }]);
  });

  it('stand within it where it is wide and has no room beside it', () => {
    expect(place([cut(20)], minute => minute < 199)).toEqual([{ x: 89.5, label: '900 W' }]);
  });

  it('are left out among crowding spikes, the highest first to keep theirs', () => {
    expect(place([cut(60), cut(70), cut(80)], minute => minute % 10 === 0)).toEqual([]);
    expect(place([cut(60, 850), cut(64, 950)], minute => minute === 60 || minute === 64)).toEqual([
      { x: 70, label: '950 W' },
      { x: 35, label: '850 W' },
    ]);
  });
});
