/** What the running agent knows of its stations, as trials ask for it. */
import type { StandingPanels } from '#energy/estimates/pointing/asked';
import type { TariffSettings } from '#messages';
import { spotPlaneOf } from '../../derive/standing.ts';
import type { KnownStation, TrialsKnown } from '../trials/known.ts';
import type { Desk } from './desk.ts';
import type { Holding } from './holding.ts';

export function trialsKnown(
  { demo, watch }: Pick<Holding, 'demo' | 'watch'>,
  version: string,
  tariff: TariffSettings | undefined,
  nowMs: number,
): TrialsKnown {
  const stations = watch.stations().map(({ id, gives }): KnownStation => {
    const desk = watch.desk(id);
    const { zone, intervalMs, solarMaxW } = desk.facts();
    return { settings: desk.settings, gives, zone, intervalMs, panels: panelsOf(desk, nowMs), portMaxW: solarMaxW };
  });
  return { version, simulated: demo, stations, tariff: tariff ?? null };
}

/** As they stand now: where they were carried to a spot whose plane is told, that one. */
function panelsOf(desk: Desk, nowMs: number): StandingPanels[] {
  const spot = spotPlaneOf(desk.facts().standing ?? [], nowMs);
  return desk.settings.panel.map(({ ratedW, count, tiltDeg, azimuthDeg, powerPctPerK }) => ({
    ratedW: ratedW * count,
    powerPerK: powerPctPerK === undefined ? null : powerPctPerK / 100,
    plane: spot ?? (tiltDeg === undefined || azimuthDeg === undefined ? null : { tiltDeg, azimuthDeg }),
  }));
}
