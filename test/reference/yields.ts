/**
 * Yields to check against (IEC 61724-1). The worked example is constructed; the days are of a real system of 204.12 kW,
 * NREL PVDAQ system 1283, from its fifteen-minute records: snow on the first two, an outage in the sun on the last.
 */
import { table } from './table.ts';

export const WORKED_YIELDS = {
  peakKw: 0.4,
  energyKwh: 1.62,
  planeKwhM2: 5.4,
  referenceH: 5.4,
  finalH: 4.05,
  ratio: 0.75,
  capacityFactor: 0.16875,
  /** With power per K −0.0035 and cells at 48 °C. */
  correctedRatio: 0.815661,
};

export interface RealDay {
  date: string;
  planeKwhM2: number;
  dcKwh: number;
  acKwh: number;
  referenceH: number;
  arrayH: number;
  finalH: number;
  ratio: number;
  captureLossH: number;
  systemLossH: number;
  capacityFactor: number;
}

/** Tolerance 0.000001. */
export const REAL_DAYS = table<RealDay>(`
date       planeKwhM2 dcKwh      acKwh      referenceH arrayH   finalH   ratio    captureLossH systemLossH capacityFactor
2022-01-02 2.909043   384.130598 330.564131 2.909043   1.881886 1.61946  0.556698 1.027157     0.262426    0.067477
2022-01-03 2.7836     380.096215 326.005912 2.7836     1.862121 1.597129 0.573764 0.921478     0.264993    0.066547
2022-01-04 2.772385   473.864488 421.994217 2.772385   2.3215   2.067383 0.745706 0.450885     0.254117    0.086141
2022-01-05 2.382387   428.97659  377.322507 2.382387   2.10159  1.848533 0.775916 0.280796     0.253057    0.077022
2022-01-06 1.34082    0          0          1.34082    0        0        0        1.34082      0           0
`);

/** PR of the five days together: the weather-corrected one equals it where its reference temperature is their own mean. */
export const REAL_DAYS_RATIO = 0.58519586;

/** Minutes missing of a day of 1440, data availability. Tolerance 0.000001. */
export const AVAILABILITY: readonly [number, number][] = [
  [30, 0.979167],
  [120, 0.916667],
  [5, 0.996528],
  [180, 0.875],
];
