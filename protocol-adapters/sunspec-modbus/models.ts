/**
 * The SunSpec models read here, and where their points stand: registers from the model's id. From the published model
 * definitions (SunSpec Alliance, github.com/sunspec/models, Apache-2.0); only what is used is written down.
 */
import { acc32, enum16, int16, type Point, uint16, uint32, uint64 } from './points.ts';

/** "SunS", the two registers before the first model. */
export const MARK = 0x5375_6e53;
/** Where the mark may stand. */
export const BASES = [40_000, 50_000, 0] as const;
export const END_MODEL = 0xffff;
export const HEADER_REGISTERS = 2;

/** Power positive: generated, so going out of the outlets; negative: absorbed, so coming in from the wall. */
export interface AcModel {
  readonly registers: number;
  readonly powerW: Point;
  readonly voltageV: Point;
  readonly frequencyHz: Point;
  readonly generatedWh: Point;
  readonly absorbedWh?: Point;
  /** Power of the DC side. */
  readonly dcPowerW?: Point;
}

/** 101, 102, 103, inverter of one, split and three phases: the same places. */
const INVERTER: AcModel = {
  registers: 33,
  powerW: int16(14, 15),
  voltageV: uint16(10, 13),
  frequencyHz: uint16(16, 17),
  generatedWh: acc32(24, 26),
  dcPowerW: int16(31, 32),
};

/** 701, AC measurement of a distributed energy resource. */
const AC_MEASUREMENT: AcModel = {
  registers: 121,
  powerW: int16(10, 116),
  voltageV: uint16(16, 114),
  frequencyHz: uint32(17, 115),
  generatedWh: uint64(19, 120),
  absorbedWh: uint64(23, 120),
};

/** The first that a device has is read. */
export const AC_MODELS: ReadonlyMap<number, AcModel> = new Map([
  [701, AC_MEASUREMENT],
  [101, INVERTER],
  [102, INVERTER],
  [103, INVERTER],
]);

/** What a port is, by the number model 714 gives it. */
export const PORT = { sun: 0, storage: 1, injecting: 3, absorbing: 4 } as const;

export interface PortsModel {
  /** Registers before the first port, and of each port. */
  readonly head: number;
  readonly each: number;
  /** How many ports it says it has. */
  readonly count: Point;
  /** Absent: every port is the sun's. */
  readonly kind?: Point;
  readonly currentA: Point;
  readonly voltageV: Point;
  readonly powerW: Point;
  readonly injectedWh: Point;
  readonly absorbedWh?: Point;
}

/** Points of the first port; the next is `each` registers further, with the same scales. */
export const PORT_MODELS: ReadonlyMap<number, PortsModel> = new Map([
  [
    // 714, DC measurement of a distributed energy resource.
    714,
    {
      head: 20,
      each: 25,
      count: enum16(4),
      kind: enum16(20),
      currentA: int16(30, 15),
      voltageV: uint16(31, 16),
      powerW: int16(32, 17),
      injectedWh: uint64(33, 18),
      absorbedWh: uint64(37, 18),
    },
  ],
  [
    // 160, trackers of an inverter.
    160,
    {
      head: 10,
      each: 20,
      count: enum16(8),
      currentA: uint16(19, 2),
      voltageV: uint16(20, 3),
      powerW: uint16(21, 4),
      injectedWh: acc32(22, 5),
    },
  ],
]);

/** 713, storage capacity. */
export const STORAGE = {
  id: 713,
  registers: 9,
  availableWh: uint16(3, 7),
  chargePct: uint16(4, 8),
  healthPct: uint16(5, 8),
} as const;

/** 802, battery. Power and current come with either sign: what its charge state says decides. */
export const BATTERY = {
  id: 802,
  registers: 64,
  chargePct: uint16(11, 56),
  healthPct: uint16(13, 58),
  chargeState: enum16(16),
  heartbeat: enum16(18),
  state: enum16(22),
  voltageV: uint16(34, 59),
  currentA: int16(44, 61),
  powerW: int16(47, 63),
} as const;

export const CHARGE_STATE = { discharging: 3, charging: 4 } as const;
export const BATTERY_FAULT = 99;
