/** What is known of a station without panels and place, as far as tests of counting and importing ask. */
import type { StationFacts } from '../../agent/derive/facts.ts';

export const stationFacts = (own: Partial<StationFacts>): StationFacts => ({
  intervalMs: 60_000,
  zone: 'Europe/Berlin',
  ratedWh: 1000,
  floorPct: 10,
  ceilingPct: 100,
  lowCutoffPct: 0,
  inputSource: 'sun',
  panels: [],
  solarMaxW: null,
  place: null,
  ...own,
});
