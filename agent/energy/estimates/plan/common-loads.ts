/**
 * What common loads draw, to begin a list with. Watts while running, from the US Department of Energy's list of appliance
 * energy use as university course notes and towns reprint it, or from measured plugs of published data sets (1 Hz, German
 * and British households, 2011-2018). Hours a day and starting factors are common practice without a source, but for
 * fridges, whose duty was measured. Every one is to be replaced by what a meter or the label says.
 */

/** `doe`: that list. `measured`: plugs of data sets. `memory`: from memory, without a source. */
export type LoadSource = 'doe' | 'measured' | 'memory';

export interface CommonLoad {
  name: string;
  /** What is put in. */
  powerW: number;
  /** What the source says, from and to. */
  range: readonly [lowW: number, highW: number];
  hoursPerDay: number;
  startFactor: number;
  source: LoadSource;
  /** On heat or health care: a caution belongs to it. */
  caution?: 'heat' | 'medical' | 'wiring';
}

const row = (
  name: string,
  powerW: number,
  range: CommonLoad['range'],
  hoursPerDay: number,
  source: LoadSource,
  more: { startFactor?: number; caution?: CommonLoad['caution'] } = {},
): CommonLoad => ({
  name,
  powerW,
  range,
  hoursPerDay,
  source,
  startFactor: more.startFactor ?? 1,
  ...(more.caution === undefined ? {} : { caution: more.caution }),
});

/** Motors: 4 to 8 times for a tenth to half a second (trade sources); measured fridges peak at 1.0-1.5 kW for a second. */
const MOTOR = { startFactor: 6 } as const;

export const COMMON_LOADS: readonly CommonLoad[] = [
  // Median duty 0.27, middle half 0.20-0.41, over 128 fridge-days of seven machines.
  row('Fridge', 77, [62, 130], 6.5, 'measured', { startFactor: 8 }),
  row('Freezer', 156, [156, 156], 3.4, 'measured', { startFactor: 7 }),
  row('Router', 8, [4, 11], 24, 'measured'),
  row('Network switch', 7, [4, 10], 24, 'measured'),
  row('Lamp', 13, [13, 107], 5, 'measured'),
  row('Laptop', 25, [20, 30], 6, 'measured'),
  row('Television', 120, [75, 210], 4, 'measured'),
  row('Television receiver', 10, [8, 12], 5, 'measured'),
  row('Telephone charger', 10, [5, 20], 2, 'memory'),
  row('Clock radio', 10, [10, 10], 24, 'doe'),
  row('Ceiling fan', 100, [65, 175], 8, 'doe', { startFactor: 2 }),
  row('Window fan', 120, [55, 250], 8, 'doe', { startFactor: 2 }),
  row('Electric blanket, single', 60, [60, 60], 8, 'doe', { caution: 'heat' }),
  row('Dehumidifier', 785, [785, 785], 6, 'doe', MOTOR),
  row('Deep-well pump', 700, [250, 1100], 0.5, 'doe', { ...MOTOR, caution: 'wiring' }),
  row('Vacuum cleaner', 1200, [1000, 1440], 0.2, 'doe', { startFactor: 3 }),
  row('Hair dryer', 1500, [1200, 1875], 0.1, 'doe', { caution: 'heat' }),
  row('Portable heater', 1500, [750, 1500], 4, 'doe', { caution: 'heat' }),
  row('Coffee maker', 1000, [900, 1200], 0.3, 'doe', { caution: 'heat' }),
  row('Kettle', 2200, [1840, 2760], 0.2, 'measured', { caution: 'heat' }),
  row('Microwave oven', 1300, [1100, 1500], 0.2, 'measured', { startFactor: 1.5 }),
  row('Toaster', 1000, [800, 1400], 0.1, 'doe', { caution: 'heat' }),
  row('Breathing device', 40, [30, 90], 8, 'memory', { caution: 'medical' }),
];

/** Words by which a load is told to be one on which health may depend; what is missed is still under the standing caution. */
const MEDICAL =
  /\b(breath|cpap|apap|bipap|oxygen|concentrator|ventilator|dialysis|nebuli[sz]er|insulin|infusion|medic)/i;
/** Loads that are fixed to the wiring of a house. */
const WIRED = /\b(deep-?well|well pump|furnace|boiler|house circuit|sump|central heating|air condition)/i;
export const isMedical = (name: string): boolean => MEDICAL.test(name);
export const isWired = (name: string): boolean => WIRED.test(name);
