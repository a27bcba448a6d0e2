/** An outage as the record keeps it, and as the page is told: bare, for tests to fill in. */
import type { Outage, OutagesAnswer } from '#messages';

type ToldOutage = OutagesAnswer['outages'][number];

export const keptOutage = (over: Partial<Outage> & Pick<Outage, 'startedAt'>): Outage => ({
  station: 'shed',
  endedAt: null,
  startPct: null,
  endPct: null,
  lowestPct: null,
  outputMilliJ: 0,
  inputMilliJ: 0,
  promisedAt: null,
  promisedP10At: null,
  promisedP50At: null,
  floorAt: null,
  ...over,
});

/** @param startedAt epoch ms */
export const toldOutage = (startedAt: number, over: Partial<ToldOutage> = {}): ToldOutage => ({
  startedAt: new Date(startedAt).toISOString(),
  endedAt: null,
  startPct: null,
  endPct: null,
  lowestPct: null,
  outputWh: 0,
  inputWh: 0,
  promised: null,
  floorAt: null,
  ...over,
});
