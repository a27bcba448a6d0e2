/** What Plan is told of one station: what its desk and its engine know now, with what the record holds. */
import { DEFAULT_TURBIDITY } from '#energy/sky';
import { priceOf, WEEKDAYS } from '#energy/tariff';
import type { PlanAnswer, TariffSettings } from '#messages';
import { spotPlaneOf } from '../../derive/standing.ts';
import { toInstant } from '../../server/encode.ts';
import type { PlanPast } from '../plan-past.ts';
import type { Desk } from './desk.ts';
import type { PlanKnown } from './foresight/plan-known.ts';

export function planTold(
  desk: Pick<Desk, 'settings' | 'facts'>,
  { losses, ...known }: PlanKnown,
  { wallSeenW, usualMostW, days, weeks }: PlanPast,
  tariff: TariffSettings | undefined,
  simulated: boolean,
  at: number,
): PlanAnswer {
  const { settings } = desk;
  const facts = desk.facts();
  const toldW = settings.wallChargeW;
  return {
    station: settings.id,
    madeAt: toInstant(at),
    zone: facts.zone,
    simulated,
    plan: settings.plan ?? { load: [], dullDays: 1.5 },
    ratedWh: settings.ratedWh ?? null,
    continuousW: settings.continuousW ?? null,
    surgeW: settings.surgeW ?? null,
    wallCharge:
      toldW !== undefined
        ? { powerW: toldW, from: 'told' }
        : wallSeenW === null
          ? null
          : { powerW: wallSeenW, from: 'seen' },
    solarMaxW: facts.solarMaxW,
    floorPct: facts.floorPct,
    ceilingPct: facts.ceilingPct,
    ...known,
    losses: { ...losses, knownToW: losses.ticks > 0 ? usualMostW : null },
    place:
      settings.place === undefined
        ? null
        : {
            latitudeDeg: settings.place.latitudeDeg,
            longitudeDeg: settings.place.longitudeDeg,
            altitudeM: settings.place.altitudeM ?? 0,
            turbidity: settings.place.turbidity ?? DEFAULT_TURBIDITY,
          },
    panels: panelsTold(desk, at),
    days,
    weeks,
    price: tariff === undefined ? null : { currency: tariff.currency, perKWh: pricesOf(tariff) },
    paid: settings.paid ?? null,
  };
}

/** As they stand now: where they were carried to a spot whose plane is told, that one. */
function panelsTold(desk: Pick<Desk, 'settings' | 'facts'>, at: number): PlanAnswer['panels'] {
  const spot = spotPlaneOf(desk.facts().standing ?? [], at);
  return desk.settings.panel.map(({ ratedW, count, tiltDeg, azimuthDeg, powerPctPerK }) => ({
    ratedW: ratedW * count,
    tiltDeg: spot?.tiltDeg ?? tiltDeg ?? null,
    azimuthDeg: spot?.azimuthDeg ?? azimuthDeg ?? null,
    powerPerK: powerPctPerK === undefined ? null : powerPctPerK / 100,
  }));
}

/** By hour of the week from Monday 00:00. */
const pricesOf = (tariff: TariffSettings): number[] =>
  WEEKDAYS.flatMap(day => Array.from({ length: 24 }, (_, hour) => priceOf(tariff, day, hour)));
