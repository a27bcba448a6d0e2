/** Trials as they are reported, made up: figures are round, nothing was measured. */
import type { ComparisonAnswer, TrialOptions, WireFigure, WireTrial } from '#messages';
import type { ReportAsked } from '../../agent/trials/report/page.ts';

export interface MadeUp {
  readonly id?: string;
  readonly note?: string;
  readonly stationName?: string;
  readonly simulated?: boolean;
  readonly against?: WireFigure['against'];
  readonly place?: { latitudeDeg: number; longitudeDeg: number };
}

const OPTIONS: Readonly<Record<'usable' | 'solar', TrialOptions>> = {
  usable: { kind: 'usable' },
  solar: { kind: 'solar' },
};

export function trialOfKind(kind: 'usable' | 'solar', made: MadeUp = {}): WireTrial {
  const what = kind === 'solar' ? 'ofClearSkyPct' : made.against === 'ownWatts' ? 'deliveredWh' : 'deliveredByMeterWh';
  const value = kind === 'solar' ? 78 : 850;
  return {
    id: made.id ?? `shed-${kind}-260601-aaaaaa`,
    kind,
    station: 'shed',
    stationName: made.stationName ?? 'Honey shed',
    startedAt: '2026-06-01T06:07:00.000Z',
    endedAt: null,
    options: OPTIONS[kind],
    conditions: { load: '60 W lamp', ...(made.note === undefined ? {} : { note: made.note }) },
    steps: [],
    typed: [],
    simulated: made.simulated ?? false,
    version: '1.2.3',
    judgement: {
      phase: 'done',
      waitsFor: null,
      endsBecause: kind === 'solar' ? 'sunset' : 'cutOff',
      beganAt: '2026-06-01T06:25:00.000Z',
      endedAt: '2026-06-01T10:31:00.000Z',
      spoiledBy: [
        {
          what: 'gap',
          at: '2026-06-01T07:25:00.000Z',
          toAt: '2026-06-01T07:27:00.000Z',
          consequence: 'widens',
          amount: 2,
          unit: 'min',
        },
      ],
      progress: { share: 1, leftMs: 0, count: null, wanted: null },
      result: {
        figures: [
          {
            what,
            atW: null,
            value,
            unit: kind === 'solar' ? '%' : 'Wh',
            low95: value - 5,
            high95: value + 5,
            standardUncertainty: 2.5,
            coverageFactor: 2,
            effectiveFreedom: null,
            against: made.against ?? (kind === 'solar' ? 'clearSky' : 'meter'),
            budget: [
              {
                source: kind === 'solar' ? 'clearSky' : 'meter',
                kind: 'B',
                shape: 'rectangular',
                standardUncertainty: 2.5,
                freedom: null,
                share: 1,
                shared: null,
                effect: 2.5,
              },
            ],
          },
        ],
        curves: [
          {
            of: 'percentByHour',
            as: 'line',
            points: [0, 1, 2, 3, 4].map(x => ({ x, y: 100 - 24 * x, low95: 99 - 24 * x, high95: 101 - 24 * x })),
          },
        ],
        under: { meanW: 208, tempC: 24, fromPct: 100, toPct: 0 },
      },
    },
  };
}

const beside = (trials: WireTrial[]): ComparisonAnswer => ({ trials, differences: [], worth: [], currency: 'EUR' });

export const askedFor = (
  trials: WireTrial[],
  { large = false, place }: { large?: boolean; place?: MadeUp['place'] } = {},
): ReportAsked => ({
  comparison: beside(trials),
  large,
  places: new Map(place === undefined ? [] : trials.map(({ id }) => [id, place])),
  clock: null,
  dateOf: (_trial, iso) => iso.slice(0, 10),
  samples: new Map(trials.map(({ id }) => [id, 14_760])),
  madeOn: '2026-06-02',
  version: '1.3.0',
});
