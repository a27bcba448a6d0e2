/**
 * The yard around the honey shed: three spots where the panels are set up, how they stand there, and what shades them.
 * The sun goes west over the equator's side, so all bearings are told from there. Every figure is made up.
 */
import type { NearThing } from './plant/light/shade.ts';
import type { StandFacts } from './plant/station.ts';
import type { Place } from './plant/sun.ts';

export const SHED_SPOTS = [
  { id: 'step', name: 'step' },
  { id: 'fence', name: 'fence' },
  { id: 'hive-stand', name: 'hive stand' },
] as const;

export type SpotId = (typeof SHED_SPOTS)[number]['id'];

/** Where the panels stand first, and again when the past is over. */
export const FIRST_SPOT: SpotId = 'step';

/** Where the three weeks of the past were spent, from which day on: in turns, so that each spot has seen fair weather. */
const STAYS: readonly { readonly spot: SpotId; readonly day: number }[] = [
  { spot: FIRST_SPOT, day: 0 },
  { spot: 'fence', day: 3 },
  { spot: 'hive-stand', day: 6 },
  { spot: FIRST_SPOT, day: 9 },
  { spot: 'fence', day: 12 },
  { spot: 'hive-stand', day: 15 },
  { spot: FIRST_SPOT, day: 18 },
];
const DAY_MS = 86_400_000;

export const isSpotId = (text: string): text is SpotId => SHED_SPOTS.some(({ id }) => id === text);

const FAR = [
  { azimuthDeg: 0, elevationDeg: 2 },
  { azimuthDeg: 90, elevationDeg: 4 },
  { azimuthDeg: 180, elevationDeg: 2 },
  { azimuthDeg: 270, elevationDeg: 3 },
];

/** What is seen from a spot; bearings in degrees west of the equator's side. */
interface Seen {
  readonly tiltDeg: number;
  readonly westDeg: number;
  readonly near: readonly (Omit<NearThing, 'azimuthDeg'> & { readonly westDeg: number })[];
}

const CHIMNEY = { name: 'chimney', shape: 'board', widthM: 0.45, heightM: 9.5, throughShare: 0 } as const;
const PEAR_TREE = { name: 'pear tree', shape: 'crown', widthM: 9, heightM: 5.2, throughShare: 0.12 } as const;
const SHED_WALL = { name: 'shed', shape: 'board', widthM: 7, heightM: 3.4, throughShare: 0 } as const;
const HEDGE = { name: 'hedge', shape: 'board', widthM: 14, heightM: 2.2, throughShare: 0.05 } as const;

const SPOTS: Record<SpotId, Seen> = {
  // Before the door: sun all day until the chimney and the tree stand in its way.
  step: {
    tiltDeg: 26,
    westDeg: -4,
    near: [
      { ...CHIMNEY, westDeg: 66, distanceM: 4.5 },
      { ...PEAR_TREE, westDeg: 90, distanceM: 11 },
    ],
  },
  // Along the garden's west side: a hedge keeps the morning off, the evening is free.
  fence: {
    tiltDeg: 34,
    westDeg: 38,
    near: [{ ...HEDGE, westDeg: -82, distanceM: 2.6 }],
  },
  // Behind the shed: free towards the morning, in the wall's shadow from early afternoon on.
  'hive-stand': {
    tiltDeg: 18,
    westDeg: -32,
    near: [{ ...SHED_WALL, westDeg: 72, distanceM: 2.8 }],
  },
};

/** How the panels stand at a spot, facing the equator of either hemisphere, and what shades them there. */
export function shedSpot(place: Pick<Place, 'latitudeDeg'>, spot: SpotId): StandFacts {
  const north = place.latitudeDeg >= 0;
  const equator = north ? 180 : 0;
  // Clockwise in the north, the other way in the south.
  const westOf = (deg: number) => (equator + (north ? deg : -deg) + 360) % 360;
  const { tiltDeg, westDeg, near } = SPOTS[spot];
  return {
    tiltDeg,
    azimuthDeg: westOf(westDeg),
    shade: { skyline: FAR, near: near.map(({ westDeg: deg, ...thing }) => ({ ...thing, azimuthDeg: westOf(deg) })) },
  };
}

/** Stays after the first, each from a local midnight on. @param offsetMs local minus universal time at an instant */
export const shedStays = (sinceMs: number, offsetMs: (ms: number) => number) =>
  STAYS.slice(1).map(({ spot, day }) => {
    const midnight = sinceMs + day * DAY_MS;
    return { spot, fromMs: midnight - offsetMs(midnight) };
  });

/** The spots as their owner would write them down, the one of the past first. */
export const describeSpots = (place: Pick<Place, 'latitudeDeg'>) =>
  SHED_SPOTS.map(({ id, name }) => {
    const { tiltDeg, azimuthDeg } = shedSpot(place, id);
    return { id, name, tiltDeg, azimuthDeg };
  });
