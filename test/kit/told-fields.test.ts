import { expect, it } from 'vitest';
import { type FieldTable, tableDecoder, tableGives, toldFields } from '#kit';

const table: FieldTable = {
  minBytes: 4,
  order: 'big',
  fields: [
    { gives: 'solarPowerW.1', at: 0, type: 'u16', scale: 0.1 },
    { gives: 'solarPowerW.2', at: 2, type: 'u8', notAvailable: [255] },
    { state: 'acOutletsOn', at: 3, type: 'u8', mask: 0x02 },
    { gives: 'batteryTempC', at: 4, type: 'i8', optional: true },
  ],
};
const frame = Uint8Array.of(0x04, 0xb0, 0xff, 0x02);

it('a frame is told field by field: what stands where and what it was taken for', () => {
  expect(toldFields(table, frame)).toEqual([
    { name: 'solarPowerW.1', at: 0, raw: 1200, value: 120 },
    { name: 'solarPowerW.2', at: 2, raw: null, value: null },
    { name: 'acOutletsOn', at: 3, raw: 1, value: true },
    { name: 'batteryTempC', at: 4, raw: null, value: null },
  ]);
});

it('the fields told are those that decode takes', () => {
  const decode = tableDecoder(table);
  expect(decode.table).toBe(table);
  expect(decode(frame)).toMatchObject({
    quantities: { 'solarPowerW.1': 120, 'solarPowerW.2': null },
    states: { acOutletsOn: true },
  });
});

it('the manifest names each quantity of the table once, whatever its port', () => {
  expect(tableGives(table)).toEqual(['solarPowerW', 'batteryTempC']);
});
