/**
 * The text of a new adapter: complete, with samples that it passes, so that its author changes one thing at a time and
 * checks after each.
 */

const HEAD = (name: string) => `/**
 * ${name}: what the station is, and where its protocol is described.
 *
 * Fill in, in this order: the manifest, the framer, the table, the samples. After each: wattkeep adapter check ${name}
 */`;

/** All an adapter may import, a name a line. */
const imports = (...names: string[]) => {
  const always = ['type Adapter', 'API_VERSION', 'type FieldTable', 'type Sample', 'tableDecoder', 'tableGives'];
  const plain = (name: string) => name.replace('type ', '').toLowerCase();
  const sorted = [...always, ...names].sort((a, b) => (plain(a) < plain(b) ? -1 : 1));
  return ['import {', ...sorted.map(name => `  ${name},`), `} from 'wattkeep/kit';`].join('\n');
};

const MANIFEST = (name: string, transports: string, more: string) => `  manifest: {
    // Lower-case letters, digits and dashes; settings name the adapter by it.
    id: '${name}',
    title: 'What Setup calls it',
    version: '1',
    apiVersion: API_VERSION,
    transports: [${transports}],
    gives: tableGives(table),
    // Expected time between readings, ms.
    intervalMs: 1000,
    maxFrameBytes: 64,
    maxReadingsPerS: 10,
${more}  },`;

const TABLE = (
  first: number,
) => `// Names and units: protocol-adapters/kit/quantities.ts. value = raw × scale + add, in the quantity's unit.
// Types: u8 i8 u16 i16 u24 i24 u32 i32 f32 …, bcd, ascii.
const table: FieldTable = {
  minBytes: ${first + 5},
  order: 'little',
  fields: [
    { gives: 'stateOfChargePct', at: ${first}, type: 'u8' },
    { gives: 'inputPowerW', at: ${first + 1}, type: 'u16' },
    { gives: 'outputPowerW', at: ${first + 3}, type: 'u16', scale: 0.1, notAvailable: [0xffff] },
  ],
};`;

const SAMPLES = (
  hex: string,
  more: string,
) => `/** Bytes as the station sent them, and what its screen said then: the check holds the adapter against them. */
export const samples: readonly Sample[] = [
  {
    name: 'what the screen showed',
    hex: '${hex}',${more}
    expects: { stateOfChargePct: 81, inputPowerW: 120, outputPowerW: 35.5 },
  },
];

export default adapter;
`;

/** A stream: start bytes, a length, a checksum; the commonest shape. */
const stream = (name: string, transport: string) => `${HEAD(name)}
${imports('createLengthFieldFramer', 'sum8', 'trailerHolds')}

${TABLE(3)}

const adapter: Adapter = {
${MANIFEST(name, `'${transport}'`, '')}
  open: () => ({
    // aa 55, the number of bytes that follow the length, the table, one byte of sum. Other framers of the kit:
    // createDelimiterFramer, createFixedLengthFramer, createSilenceFramer, createSlipFramer, createCobsFramer.
    createFramer: () =>
      createLengthFieldFramer({
        maxFrameBytes: 64,
        start: [0xaa, 0x55],
        lengthAt: 2,
        adjust: 3,
        // Other checksums: createCrc(CRC.modbus), xor8, lrc8, sum16, fletcher16.
        holds: frame => trailerHolds(frame, { checksum: sum8, bytes: 1 }),
      }),
    decode: tableDecoder(table),
  }),
};

${SAMPLES('aa 55 06 51 78 00 63 01 32', '')}`;

/** Bluetooth: one characteristic that tells by itself. */
const ble = (name: string) => `${HEAD(name)}
${imports('createWholeFramer')}

${TABLE(0)}

const adapter: Adapter = {
${MANIFEST(
  name,
  "'ble'",
  `    // wattkeep adapter capture writes the tree of services and characteristics into its file.
    ble: {
      find: { namePrefix: 'What it advertises' },
      characteristics: {
        told: { service: '0000fff000001000800000805f9b34fb', uuid: '0000fff100001000800000805f9b34fb', use: ['notify'] },
      },
    },
`,
)}
  open: () => ({ createFramer: () => createWholeFramer({ maxFrameBytes: 64 }), decode: tableDecoder(table) }),
};

${SAMPLES('51 78 00 63 01', "\n    from: 'told',")}`;

/** @param name an adapter's id */
export const scaffold = (name: string, transport: 'serial' | 'tcp' | 'process' | 'ble'): string =>
  transport === 'ble' ? ble(name) : stream(name, transport);
