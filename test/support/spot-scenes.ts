/**
 * Skylines around invented spots, places and seasons, and conditions a station can be in. Directions are degrees from
 * where the sun stands at noon, towards the evening, so that a skyline can be carried to the other hemisphere.
 */
import type { ShadeFacts } from '../../simulators/plant/light/shade.ts';

export interface Scene {
  readonly name: string;
  readonly shadeAt: (latitudeDeg: number) => ShadeFacts;
}

const eveningwards = (latitudeDeg: number) => (deg: number) => (latitudeDeg >= 0 ? 180 + deg + 360 : 360 - deg) % 360;

type Corner = readonly [deg: number, elevationDeg: number];

const skyline = (latitudeDeg: number, corners: readonly Corner[]) =>
  corners.map(([deg, elevationDeg]) => ({ azimuthDeg: eveningwards(latitudeDeg)(deg), elevationDeg }));

export const SCENES: readonly Scene[] = [
  {
    name: 'wall to the evening',
    shadeAt: latitude => ({
      skyline: skyline(latitude, [
        [-180, 4],
        [-60, 4],
        [58, 4],
        [60, 30],
        [112, 30],
        [114, 4],
      ]),
      near: [],
    }),
  },
  {
    name: 'house and pear tree',
    shadeAt: latitude => ({
      skyline: skyline(latitude, [
        [-122, 3],
        [-120, 22],
        [-70, 22],
        [-68, 3],
        [90, 2],
      ]),
      near: [
        {
          name: 'pear tree',
          shape: 'crown',
          azimuthDeg: eveningwards(latitude)(55),
          distanceM: 8,
          widthM: 5,
          heightM: 6,
          throughShare: 0.12,
        },
      ],
    }),
  },
  {
    name: 'valley',
    shadeAt: latitude => ({
      skyline: skyline(latitude, [
        [-150, 20],
        [-110, 24],
        [-75, 17],
        [-40, 8],
        [0, 6],
        [35, 9],
        [70, 21],
        [100, 26],
        [150, 14],
      ]),
      near: [],
    }),
  },
  {
    name: 'chimney',
    shadeAt: latitude => ({
      skyline: skyline(latitude, [
        [-90, 5],
        [0, 3],
        [90, 4],
        [180, 3],
      ]),
      near: [
        {
          name: 'chimney',
          shape: 'board',
          azimuthDeg: eveningwards(latitude)(22),
          distanceM: 4.5,
          widthM: 0.7,
          heightM: 9.5,
          throughShare: 0,
        },
      ],
    }),
  },
  {
    name: 'court',
    shadeAt: latitude => ({
      skyline: skyline(latitude, [
        [-180, 45],
        [-48, 45],
        [-46, 6],
        [50, 6],
        [52, 45],
      ]),
      near: [],
    }),
  },
  { name: 'open field', shadeAt: latitude => ({ skyline: skyline(latitude, [[0, 2]]), near: [] }) },
];

export interface Season {
  readonly name: string;
  readonly latitudeDeg: number;
  readonly longitudeDeg: number;
  readonly startMs: number;
}

const on = (name: string, latitudeDeg: number, longitudeDeg: number, date: string): Season => ({
  name,
  latitudeDeg,
  longitudeDeg,
  startMs: Date.parse(`${date}T00:00:00Z`) - (longitudeDeg / 360) * 86_400_000,
});

export const SEASONS: readonly Season[] = [
  on('35° N, June', 35, 15, '2026-06-01'),
  on('48° N, March', 48, 9, '2026-03-12'),
  on('52° N, October', 52, -2, '2026-09-28'),
  on('48° N, December', 48, 9, '2026-12-01'),
  on('34° S, January', -34, 20, '2026-01-05'),
  on('8° N, April', 8, 77, '2026-04-01'),
  on('60° N, June', 60, 18, '2026-06-05'),
];

export interface Condition {
  readonly name: string;
  /** How panels stand is not known, or said this many degrees wrong. */
  readonly plane?: 'unknown' | 'tenDegreesOff';
  readonly fullAfterWh?: number;
  /** Of the label. */
  readonly portShare?: number;
  /** Minutes that are missing: `gap` hours lost here and there, `moved` three hours a day spent elsewhere. */
  readonly missing?: 'gaps' | 'moved';
  readonly tellsLimit?: boolean;
  readonly wholeWatts?: boolean;
  readonly parallel?: boolean;
}

export const CONDITIONS: readonly Condition[] = [
  { name: 'plain' },
  { name: 'plane unknown', plane: 'unknown' },
  { name: 'plane 10° wrong', plane: 'tenDegreesOff' },
  { name: 'full about noon', fullAfterWh: 500 },
  { name: 'port clips at 60 %', portShare: 0.6 },
  { name: 'clips, not told', portShare: 0.6, tellsLimit: false },
  { name: 'carried among spots', missing: 'moved' },
  { name: 'gaps', missing: 'gaps' },
  { name: 'whole watts, side by side', wholeWatts: true, parallel: true },
];
