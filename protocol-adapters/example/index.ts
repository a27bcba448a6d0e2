/**
 * The smallest complete adapter, of a station that does not exist: once a second it sends 21 bytes over a serial cable.
 *
 *   0  48 57        start, always these two
 *   2  10           bytes of the body, here always 16
 *   3  body         the table below
 *  19  CRC-16/MODBUS of everything before it, low byte first
 *
 * Copy it, then change the manifest, the framer and the table until `samples` come out as your station's screen says.
 */
import {
  type Adapter,
  API_VERSION,
  CRC,
  createCrc,
  createLengthFieldFramer,
  type Sample,
  tableDecoder,
  trailerHolds,
} from '#kit';

const CHECKSUM = { checksum: createCrc(CRC.modbus), bytes: 2 };

const decode = tableDecoder({
  minBytes: 21,
  order: 'little',
  fields: [
    { gives: 'stateOfChargePct', at: 3, type: 'u8' },
    { gives: 'solarPowerW', at: 4, type: 'u16', scale: 0.1 },
    { gives: 'chargerPowerW', at: 6, type: 'u16', notAvailable: [0xffff] },
    { gives: 'acOutputPowerW', at: 8, type: 'u16' },
    { gives: 'dcOutputPowerW', at: 10, type: 'u16', scale: 0.1 },
    { gives: 'batteryVoltageV', at: 12, type: 'u16', scale: 0.01 },
    { gives: 'batteryTempC', at: 14, type: 'u8', add: -40 },
    { gives: 'solarEnergyWh', at: 15, type: 'u24' },
    { state: 'acOutletsOn', at: 18, type: 'u8', mask: 0x01 },
    { state: 'inputLimitedBy', at: 18, type: 'u8', mask: 0x0c, words: { 0: 'nothing', 1: 'full', 2: 'cold' } },
  ],
});

const adapter: Adapter = {
  manifest: {
    id: 'example',
    title: 'Example: an invented station on a serial cable',
    version: '1',
    apiVersion: API_VERSION,
    transports: ['serial'],
    gives: [
      'stateOfChargePct',
      'solarPowerW',
      'chargerPowerW',
      'acOutputPowerW',
      'dcOutputPowerW',
      'batteryVoltageV',
      'batteryTempC',
      'solarEnergyWh',
    ],
    intervalMs: 1000,
    maxFrameBytes: 64,
    maxReadingsPerS: 5,
  },
  open: () => ({
    createFramer: () =>
      createLengthFieldFramer({
        maxFrameBytes: 64,
        start: [0x48, 0x57],
        lengthAt: 2,
        adjust: 5,
        holds: frame => trailerHolds(frame, CHECKSUM),
      }),
    decode,
  }),
};

/** Bytes as the station sent them, and what its screen said: `wattkeep adapter check` holds the adapter against them. */
export const samples: readonly Sample[] = [
  {
    name: 'a bright morning',
    hex: '48 57 10 51 b0 04 ff ff 23 00 55 00 00 05 41 10 27 00 01 1b 5a',
    expects: {
      stateOfChargePct: 81,
      solarPowerW: 120,
      chargerPowerW: null,
      acOutputPowerW: 35,
      dcOutputPowerW: 8.5,
      batteryVoltageV: 12.8,
      batteryTempC: 25,
      solarEnergyWh: 10_000,
    },
  },
  {
    name: 'full, on the wall',
    hex: '48 57 10 64 00 00 5a 00 00 00 00 00 6e 05 3a 11 27 00 04 6f f8',
    expects: { stateOfChargePct: 100, solarPowerW: 0, chargerPowerW: 90, batteryTempC: 18, solarEnergyWh: 10_001 },
  },
];

export default adapter;
