/** The honey shed's evening behind a fake agent: the usual starting point of tests of the page. */
import type { LiveMessage, Settings, WireProjection, WireReading, WireStation, WireStatus } from '#messages';
import { type FakeData, nothingYet } from './fake-agent.ts';
import { shedProjection, shedReading, shedSeries, shedStation, shedStatus, shedTally } from './honey-shed.ts';
import { autumn } from './ledger-season.ts';
import { eveningOutlast } from './outlasts.ts';
import { SHED_PANEL, SHED_PORT } from './wired-shed.ts';

export interface ShedChanges {
  station?: Partial<WireStation>;
  status?: Partial<WireStatus>;
  /** Null: none has come yet. */
  reading?: Partial<WireReading> | null;
  ageMs?: number;
  projection?: Partial<WireProjection> | null;
  gap?: { fromMs: number; toMs: number };
}

export function shedData(changes: ShedChanges = {}, data: Partial<FakeData> = {}): FakeData {
  const messages: LiveMessage[] = [{ type: 'status', status: shedStatus(changes.status) }];
  if (changes.reading !== null) {
    messages.push({ type: 'reading', ageMs: changes.ageMs ?? 400, reading: shedReading(changes.reading) });
    messages.push({ type: 'day', tally: shedTally() });
  }
  if (changes.projection !== null)
    messages.push({ type: 'projection', projection: shedProjection(changes.projection) });
  return {
    ...nothingYet(),
    stations: [shedStation(changes.station)],
    demo: true,
    messages,
    series: (_station, fromMs, toMs) => shedSeries(fromMs, toMs, changes.gap ?? null),
    ledger: autumn,
    outlast: station => eveningOutlast({ station }),
    ...data,
  };
}

/** The shed as its owner set it up: a serial cable, three folding panels in series, a place. */
export const shedSettings = (): Settings => ({
  display: { temperature: 'C', clock: '24' },
  record: { commitIntervalS: 10, keepRawDays: 90 },
  server: { host: '127.0.0.1', port: 7420 },
  log: { level: 'info' },
  station: [
    {
      id: 'shed',
      name: 'Honey shed',
      adapter: 'lines',
      transport: { kind: 'serial', path: '/dev/ttyUSB0', baud: 115_200 },
      ratedWh: 1500,
      reserveFloorPct: 10,
      chargeCeilingPct: 100,
      lowCutoffPct: 1,
      outletsSleepAtLowLoad: false,
      inputSource: 'sun',
      solarPort: [{ ...SHED_PORT }],
      panel: [{ ...SHED_PANEL }],
      load: [],
      place: { latitudeDeg: 45.5, longitudeDeg: 9, coldestC: -15, hottestC: 38 },
    },
  ],
});
