/** What Plan is told of one station: what its desk knows now, put together with what the record holds. */
import { type NamedLoad, namesFor } from '#energy/estimates/plugged-in/named-loads';
import { pluggedIn } from '#energy/estimates/plugged-in/plugged-in';
import { DEFAULT_TURBIDITY } from '#energy/sky';
import { priceOf, WEEKDAYS } from '#energy/tariff';
import type { PlanAnswer, TariffSettings } from '#messages';
import { spotPlaneOf } from '../../derive/standing.ts';
import { toInstant } from '../../server/encode.ts';
import type { PlanPast } from '../plan-past.ts';
import type { Desk } from './desk.ts';

const MINUTE_MS = 60_000;
/** Fewer percents than this have taught nothing yet. */
const LEARNED_TICKS = 3;
/** What draws less on average is not worth a line of its own, W. */
const LEAST_MEAN_W = 1;
const MOST_SEEN = 12;

export function planTold(
  desk: Desk,
  { wallSeenW, usualMostW, days, weeks }: PlanPast,
  tariff: TariffSettings | undefined,
  simulated: boolean,
  at: number,
): PlanAnswer {
  const { settings } = desk;
  const facts = desk.facts();
  const { engine } = desk.outlastStation();
  const { mean, covariance, ticks } = engine.gauge.belief();
  const place = engine.gauge.place();
  const learned = ticks >= LEARNED_TICKS;
  const usable = (fromPct: number): PlanAnswer['full'] => {
    const { mapPct, addedPct, covariance: spread } = engine.gauge.between(fromPct, facts.floorPct);
    return { fromPct, toPct: facts.floorPct, labelPct: mapPct + addedPct, sdPct: Math.sqrt(Math.max(0, spread[3])) };
  };
  const toldW = settings.wallChargeW;
  return {
    station: settings.id,
    madeAt: toInstant(at),
    zone: facts.zone,
    simulated,
    plan: settings.plan ?? { load: [], dullDays: 1.5 },
    seen: seenLoads(desk, settings.load, at),
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
    full: usable(Math.max(facts.ceilingPct, facts.floorPct)),
    now: place === null || place.pct < facts.floorPct ? null : usable(place.pct),
    losses: { mean, covariance, ticks: learned ? ticks : 0, knownToW: learned ? usualMostW : null },
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

function seenLoads(desk: Desk, named: readonly NamedLoad[], at: number): PlanAnswer['seen'] {
  const { minutes, outputW, solarW, count } = desk.outlastStation().engine.past();
  const past = {
    minutes: minutes.slice(0, count),
    outputW: outputW.slice(0, count),
    solarW: solarW.slice(0, count),
    count,
  };
  const loads = pluggedIn(past, Math.floor(at / MINUTE_MS)).filter(load => load.meanW >= LEAST_MEAN_W);
  const names = namesFor(loads, named);
  return loads.slice(0, MOST_SEEN).map(({ powerW, duty }, i) => ({
    name: names[i]?.name ?? null,
    powerW,
    duty,
    mustStayOn: names[i]?.mustStayOn ?? false,
  }));
}

/** As they stand now: where they were carried to a spot whose plane is told, that one. */
function panelsTold(desk: Desk, at: number): PlanAnswer['panels'] {
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
