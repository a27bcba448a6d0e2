/** What the pages of the Ledger say of a station's own counters. */
import { describe, expect, it } from 'vitest';
import type { Bridge, CounterSum } from '#messages';
import { formatsFor, timesFor } from '../../web/format.ts';
import { countedLines, countedTold, lineOf } from '../../web/views/ledger/counted.ts';

const formats = formatsFor('en-GB', 'C');
const times = timesFor('en-GB', 'Europe/Berlin', '24');
const plain = (text: string): string => text.replace(/[\u00a0\u202f\u2009]/g, ' ');

const block = (change: Partial<Bridge> = {}): Bridge => ({
  fromAt: '2026-07-04T16:10:00Z',
  toAt: '2026-07-06T05:02:00Z',
  quantity: 'solarEnergyWh',
  energyWh: 1800,
  cause: 'counted',
  gapMs: 132_720_000,
  ...change,
});
const counter = (change: Partial<CounterSum> = {}): CounterSum => ({
  quantity: 'solarEnergyWh',
  countedWh: 14_200,
  bridgedWh: 1800,
  unknown: 0,
  apart: {
    quantity: 'solarEnergyWh',
    countedWh: 12_400,
    integratedWh: 11_700,
    differenceWh: 700,
    differencePct: 5.98,
    allowedWh: 14,
    beyond: true,
  },
  ...change,
});
const told = (bridges: Bridge[], counters: CounterSum[]) =>
  countedTold({ bridges, counters }, formats, times, '2026-07-20');
const line = (change: Partial<Bridge>) => plain(lineOf(block(change), formats, times, '2026-07-20'));

describe('the Ledger of a station that counts by itself', () => {
  it('says what it counted, how far it is from its watts, and what it gained while nothing was recorded', () => {
    expect(told([block()], [counter()])!.told.map(plain)).toEqual([
      'The station itself counted 14.2 kWh from the sun.',
      'It counts 6 % more than its own watts add up to over the same time.',
      'Between 4 July 18:10 and 6 July 07:02, while nothing was recorded, the station counted 1 800 Wh from the sun; it is part of no bar and no sum here.',
    ]);
  });

  it('sums several blocks in its sentence and lists each', () => {
    const { told: sentences, blocks } = told(
      [block(), block({ toAt: '2026-07-04T20:00:00Z', energyWh: 200 })],
      [counter()],
    )!;
    expect(plain(sentences[2]!)).toBe(
      'In 2 stretches in which nothing was recorded it counted 2 000 Wh from the sun; that is part of no bar and no sum here.',
    );
    expect(plain(blocks[1]!)).toBe('On 4 July, between 18:10 and 22:00: 200 Wh from the sun.');
  });

  it('says that the two agree where the difference is within what is open, or too small to tell', () => {
    const apart = { ...counter().apart!, beyond: false };
    expect(told([], [counter({ apart })])!.told[1]).toMatch(/add up to as much/);
    const small = { ...counter().apart!, differencePct: -0.3 };
    expect(told([], [counter({ apart: small })])!.told[1]).toMatch(/add up to as much/);
    expect(told([], [counter({ apart: null })])!.told[1]).toMatch(/cannot be held against each other/);
  });

  it('says why what a counter gained is not known', () => {
    const at = { fromAt: '2026-07-04T16:10:00Z', toAt: '2026-07-04T16:10:02Z', energyWh: null, gapMs: 0 };
    expect(line({ ...at, cause: 'reset' })).toBe(
      'On 4 July, between 18:10 and 18:10, from the sun: the counter began again; what passed is not known.',
    );
    expect(line({ ...at, cause: 'unlikely', quantity: 'outputEnergyWh' })).toMatch(
      /going out: the counter rose by more/,
    );
    expect(line({ energyWh: null, cause: 'overrun' })).toMatch(
      /^Between 4 July 18:10 and 6 July 07:02, from the sun: .* run over/,
    );
    expect(line({ gapMs: 0 })).toMatch(/it is of no one day\.$/);
  });

  it('leads with the sun, shows each counter in a row, and leaves out blocks of less than a watt-hour', () => {
    const out = counter({ quantity: 'outputEnergyWh', apart: null });
    const { told: sentences, rows, blocks } = told([block({ energyWh: 0.4 })], [out, counter()])!;
    expect(plain(sentences[0]!)).toMatch(/from the sun/);
    expect(blocks).toEqual([]);
    expect(rows.map(cells => cells.map(plain))).toEqual([
      ['from the sun', '14.2 kWh', '1 800 Wh', '+700 Wh, +6.0 %'],
      ['going out', '14.2 kWh', '1 800 Wh', '–'],
    ]);
  });

  it('says nothing of a station without counters', () => {
    expect(told([], [])).toBeNull();
    expect(countedLines({ bridges: [] }, formats, times, '2026-07-20')).toEqual([]);
    expect(countedLines(null, formats, times, '2026-07-20')).toEqual([]);
  });
});
