/** Where to point and why so few watts, asked with what the owner told and the station says, as the page reads it. */
import { civilDayOf } from '#energy/civil-day';
import type { Pointing, StandingPanels } from '#energy/estimates/pointing/asked';
import type { Observed, Wired } from '#energy/estimates/pointing/few-asked';
import { pointing } from '#energy/estimates/pointing/pointing';
import { whySoFew } from '#energy/estimates/pointing/why-so-few';
import type { Plane } from '#energy/laws/incidence';
import { UNKNOWN_AIR } from '#energy/panel-power';
import { DEFAULT_TURBIDITY, type SkyPlace } from '#energy/sky';
import type { Reading } from '#kit';
import type { StationSettings, WirePointing } from '#messages';
import type { StationFacts, StationPlace } from '../../../derive/facts.ts';
import { toInstant } from '../../../server/encode.ts';

/** Readings older than this say nothing of now. */
const FRESH_MS = 60_000;

export interface PointingStation {
  readonly settings: StationSettings;
  readonly facts: StationFacts;
  /** How the spot has them stand; null: as the settings say. */
  readonly plane: Plane | null;
  /** The last ten seconds or so, the newest last. */
  readonly readings: readonly Reading[];
  readonly sky: Observed['sky'];
}

export const skyPlaceOf = (place: StationPlace): SkyPlace => ({
  latitudeDeg: place.latitudeDeg,
  longitudeDeg: place.longitudeDeg,
  altitudeM: place.altitudeM ?? 0,
  turbidity: place.turbidity ?? DEFAULT_TURBIDITY,
});

/** null without a place. */
export function pointingTold(station: PointingStation, nowMs: number): WirePointing | null {
  const { settings, facts } = station;
  if (facts.place === null) return null;
  const { readings } = station;
  const fresh = readings.filter(reading => nowMs - reading.at <= FRESH_MS);
  const airTempC = meanOf(fresh, 'airTempC');
  const found = pointing({
    atMs: nowMs,
    place: skyPlaceOf(facts.place),
    turbidityTold: facts.place.turbidity !== undefined,
    panels: panelsStanding(settings, station.plane),
    air: airTempC === null ? UNKNOWN_AIR : { tempC: airTempC, windMs: null },
    airTold: airTempC !== null,
    day: civilDayOf(nowMs, facts.zone),
    portMaxW: facts.solarMaxW,
  });
  return { ...wirePointing(found), causes: causesNow(station, fresh, found) };
}

function panelsStanding({ panel }: StationSettings, plane: Plane | null): StandingPanels[] {
  return panel.map(({ ratedW, count, tiltDeg, azimuthDeg, powerPctPerK }) => ({
    ratedW: ratedW * count,
    powerPerK: powerPctPerK === undefined ? null : powerPctPerK / 100,
    plane: plane ?? ownPlane(tiltDeg, azimuthDeg),
  }));
}

const ownPlane = (tiltDeg: number | undefined, azimuthDeg: number | undefined): Plane | null =>
  tiltDeg === undefined || (azimuthDeg === undefined && tiltDeg > 0) ? null : { tiltDeg, azimuthDeg: azimuthDeg ?? 0 };

type Told = 'solarPowerW' | 'outputPowerW' | 'solarVoltageV' | 'solarCurrentA' | 'airTempC' | 'planeOfArrayWm2';

function meanOf(readings: readonly Reading[], key: Told): number | null {
  const told = readings.flatMap(({ quantities }) => quantities[key] ?? []);
  return told.length === 0 ? null : told.reduce((a, b) => a + b, 0) / told.length;
}

function causesNow({ settings, facts, sky }: PointingStation, fresh: readonly Reading[], found: Pointing) {
  const gotW = meanOf(fresh, 'solarPowerW');
  const last = fresh.at(-1);
  if (gotW === null || last === undefined) return [];
  const limited = last.states.inputLimitedBy ?? 'unknown';
  const observed: Observed = {
    gotW,
    outputW: meanOf(fresh, 'outputPowerW'),
    stateOfChargePct: last.quantities.stateOfChargePct ?? null,
    batteryTempC: last.quantities.batteryTempC ?? null,
    solarVoltageV: meanOf(fresh, 'solarVoltageV'),
    solarCurrentA: meanOf(fresh, 'solarCurrentA'),
    limitedBy: limited === 'unknown' ? null : limited,
    airTempC: meanOf(fresh, 'airTempC'),
    planeOfArrayWm2: meanOf(fresh, 'planeOfArrayWm2'),
    sky,
  };
  return whySoFew(observed, found.expected, wiredOf(settings, facts)).map(cause => ({ ...cause }));
}

/** One kind of panel and one port are told; of unlike ones only what holds for all. */
function wiredOf({ panel, solarPort, idleW }: StationSettings, facts: StationFacts): Wired {
  const kind = panel.length === 1 ? panel[0] : undefined;
  const port = solarPort.length === 1 ? solarPort[0] : undefined;
  const { lengthM, conductorMm2 } = port?.lead ?? {};
  return {
    count: kind?.count ?? null,
    ratedW: panel.reduce((sum, p) => sum + p.ratedW * p.count, 0),
    maxPowerV: kind?.maxPowerV ?? null,
    openCircuitV: kind?.openCircuitV ?? null,
    maxPowerA: kind?.maxPowerA ?? null,
    powerPerK: kind?.powerPctPerK === undefined ? null : kind.powerPctPerK / 100,
    openCircuitPerK: kind?.openCircuitPctPerK === undefined ? null : kind.openCircuitPctPerK / 100,
    port: {
      minV: port?.minV ?? null,
      maxV: port?.maxV ?? null,
      maxA: port?.maxA ?? null,
      maxW: facts.solarMaxW,
    },
    lead: lengthM === undefined || conductorMm2 === undefined ? null : { lengthM, conductorMm2 },
    ceilingPct: facts.ceilingPct,
    idleW: idleW ?? null,
  };
}

const instantOrNull = (at: number | null): string | null => (at === null ? null : toInstant(Math.round(at)));

function wirePointing({ sun, restOfDay, expected, shadow, ...found }: Pointing): Omit<WirePointing, 'causes'> {
  return {
    sun: { elevationDeg: sun.apparentElevationDeg, azimuthDeg: sun.azimuthDeg },
    sunriseAt: instantOrNull(found.sunriseAt),
    sunsetAt: instantOrNull(found.sunsetAt),
    nextSunriseAt: instantOrNull(found.nextSunriseAt),
    bestNow: found.bestNow,
    panelsW: found.panelsW,
    restOfDay:
      restOfDay === null
        ? null
        : {
            ...restOfDay,
            turnings: restOfDay.turnings.map(turning => ({ ...turning, at: toInstant(Math.round(turning.at)) })),
          },
    shadow,
    expected:
      expected === null
        ? null
        : {
            lowW: expected.lowW,
            middleW: expected.middleW,
            highW: expected.highW,
            spreads: expected.spreads.map(spread => ({ ...spread })),
          },
  };
}
