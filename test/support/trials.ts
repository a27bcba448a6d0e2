/** Trials of the honey shed and of a cellar, as the agent would tell them: ranges made of real budgets, figures that add up. */
import { differencesOf } from '#energy/estimates/trials/compare';
import { type Figure, figureOf } from '#energy/estimates/trials/figure';
import { KINDS, NOT_MEASURABLE } from '#energy/estimates/trials/kinds';
import { fromScatter, normalTerm, withinLimits } from '#energy/estimates/trials/terms';
import type {
  ComparisonAnswer,
  FirstWeekAnswer,
  TrialOptions,
  TrialsAnswer,
  WireFigure,
  WireTrial,
  WireTrialCurve,
  WireTrialResult,
  YearsAnswer,
} from '#messages';

type Change = Partial<Omit<WireTrial, 'judgement'>> & { judgement?: Partial<WireTrial['judgement']> };

const METER = { source: null, name: 'Plug meter', limitPct: 1, stepW: 0.1, stepWh: 1 };
const RATED_WH = 1500;

const wire = (figures: readonly Figure[]): WireFigure[] =>
  figures.map(figure => ({ ...figure, budget: figure.budget.map(line => ({ ...line })) }));

const line = (of: WireTrialCurve['of'], points: [x: number, y: number][], half = 0): WireTrialCurve => ({
  of,
  as: 'line',
  points: points.map(([x, y]) => ({ x, y, low95: y - half, high95: y + half })),
});

const NOTHING_LEFT = { share: null, leftMs: null, count: null, wanted: null };

/** A finished trial, unless changed. */
export function trialOf(
  id: string,
  options: TrialOptions,
  result: WireTrialResult | null,
  change: Change = {},
): WireTrial {
  const startedAt = change.startedAt ?? '2026-11-02T07:00:00.000Z';
  const endedAt = new Date(Date.parse(startedAt) + 5 * 3_600_000).toISOString();
  return {
    id,
    kind: options.kind,
    station: 'shed',
    stationName: 'Honey shed',
    startedAt,
    endedAt: null,
    options,
    conditions: {},
    steps: [],
    typed: [],
    simulated: false,
    version: '0.1.0',
    ...change,
    judgement: {
      phase: 'done',
      waitsFor: null,
      endsBecause: 'cutOff',
      beganAt: startedAt,
      endedAt,
      spoiledBy: [],
      progress: NOTHING_LEFT,
      result,
      ...change.judgement,
    },
  };
}

/** From full to the cut-off at 300 W. @param wh delivered, by the meter */
export function usableResult(wh: number, meter = 'meter:plug'): WireTrialResult {
  const hours = wh / 300;
  const own = wh * 1.012;
  const meterTerms = [withinLimits('meter', wh * 0.01, meter), normalTerm('endMoment', 1.5)];
  const ownTerms = [fromScatter('scatter', 1.1, 40), withinLimits('rounding', wh * 0.0016)];
  const parts = Array.from({ length: 81 }, (_, i) => i / 80);
  return {
    figures: wire([
      figureOf('deliveredWh', own, 'Wh', 'ownWatts', ownTerms),
      figureOf('deliveredByMeterWh', wh, 'Wh', 'meter', meterTerms),
      figureOf('gainErrorPct', 1.2, '%', 'meter', [withinLimits('meter', 1, meter), fromScatter('scatter', 0.1, 12)]),
      figureOf('shareOfRatedByMeterPct', (100 * wh) / RATED_WH, '%', 'meter', [
        withinLimits('meter', wh / RATED_WH, meter),
      ]),
      figureOf('meanLoadW', 300, 'W', 'ownWatts', [withinLimits('rounding', 0.5)]),
    ]),
    curves: [
      line(
        'percentByHour',
        parts.map(x => [x * hours, 100 * (1 - x) ** 0.97]),
      ),
      line(
        'wattsByHour',
        parts.map(x => [x * hours, 300 + 2 * Math.sin(9 * x)]),
      ),
    ],
    under: { meanW: 300, tempC: 21.4, fromPct: 100, toPct: 1 },
  };
}

export const ownDrawResult = (watts: number): WireTrialResult => ({
  figures: wire([
    figureOf('ownDrawW', watts, 'W', 'percents', [
      withinLimits('wholePercents', 1.3),
      normalTerm('perPercent', 0.6),
      normalTerm('unevenPercents', 0.4),
    ]),
  ]),
  curves: [
    line(
      'percentByHour',
      Array.from({ length: 24 }, (_, i) => [i * 0.3, 88 - Math.floor(i / 2)]),
    ),
  ],
  under: { meanW: 0, tempC: 18, fromPct: 88, toPct: 77 },
});

const LOADS: [watts: number, percent: number][] = [
  [30, 66.2],
  [90, 82.7],
  [240, 88.9],
  [600, 89.6],
];
export const converterResult = (): WireTrialResult => ({
  figures: wire([
    figureOf('fixedLossW', 13.1, 'W', 'batterySensors', [normalTerm('fit', 0.5)]),
    figureOf('linearLoss', 0.061, 'W/W', 'batterySensors', [normalTerm('fit', 0.004)]),
    ...LOADS.map(([watts, percent]) =>
      figureOf('efficiencyPct', percent, '%', 'batterySensors', [withinLimits('batterySensors', 1)], watts),
    ),
  ]),
  curves: [
    {
      of: 'efficiencyByLoad',
      as: 'points',
      points: LOADS.map(([x, y]) => ({ x, y, low95: y - 1.1, high95: y + 1.1 })),
    },
    line(
      'efficiencyByLoad',
      Array.from({ length: 58 }, (_, i) => {
        const x = 30 + i * 10;
        return [x, (100 * x) / (x * 1.061 + 13.1 + (x / 1000) ** 2 * 60)];
      }),
      1,
    ),
  ],
  under: { meanW: null, tempC: 22, fromPct: 81, toPct: 62 },
});

export const solarResult = (): WireTrialResult => {
  const sky = (x: number) => 320 * Math.max(0, Math.sin((Math.PI * x) / 9.5));
  const hours = Array.from({ length: 96 }, (_, i) => i / 10);
  return {
    figures: wire([
      figureOf('harvestWh', 1184, 'Wh', 'ownWatts', [withinLimits('rounding', 4)]),
      figureOf('ofClearSkyPct', 81, '%', 'clearSky', [normalTerm('clearSky', 4), normalTerm('air', 2)]),
    ]),
    curves: [
      line(
        'wattsByHour',
        hours.map(x => [x, sky(x) * (x > 5 && x < 6 ? 0.4 : 0.86)]),
      ),
      {
        ...line(
          'clearSkyByHour',
          hours.map(x => [x, sky(x)]),
        ),
        points: hours.map(x => ({ x, y: sky(x), low95: sky(x) * 0.9, high95: sky(x) * 1.1 })),
      },
    ],
    under: { meanW: null, tempC: null, fromPct: 30, toPct: 85 },
  };
};

export const SETS: TrialOptions = {
  kind: 'twoSets',
  how: 'alternated',
  a: { name: 'South wall', ratedW: 200 },
  b: { name: 'Folding', ratedW: 160 },
};

/** Usable energy now and a year ago, own draw, the converter, a day of sun; one spoiled, one that ran in the cellar. */
export const shedTrials = (): WireTrial[] => [
  trialOf('shed-usable-261102-k4m7qa', { kind: 'usable', meter: METER }, usableResult(1310), {
    conditions: { load: 'Two lamps, 300 W', airTempC: 19, note: 'Door shut.' },
  }),
  trialOf('shed-owndraw-261103-p2c9xe', { kind: 'ownDraw' }, ownDrawResult(20.4), {
    startedAt: '2026-11-03T20:00:00.000Z',
    judgement: { endsBecause: 'narrowEnough' },
  }),
  trialOf('shed-converter-261104-w8d3tr', { kind: 'converter' }, converterResult(), {
    startedAt: '2026-11-04T14:00:00.000Z',
    judgement: { endsBecause: 'loadsDone' },
  }),
  trialOf('shed-solar-261105-h6n2vy', { kind: 'solar' }, solarResult(), {
    startedAt: '2026-11-05T06:00:00.000Z',
    judgement: { endsBecause: 'sunset' },
  }),
  trialOf('shed-usable-261106-b5j8sd', { kind: 'usable' }, null, {
    startedAt: '2026-11-06T07:00:00.000Z',
    judgement: {
      phase: 'spoiled',
      endsBecause: 'spoiled',
      spoiledBy: [
        {
          what: 'loadUnplugged',
          at: '2026-11-06T09:12:00.000Z',
          toAt: '2026-11-06T09:15:00.000Z',
          consequence: 'spoils',
          amount: 300,
          unit: 'W',
        },
        {
          what: 'tooCold',
          at: '2026-11-06T07:30:00.000Z',
          toAt: '2026-11-06T08:00:00.000Z',
          consequence: 'noted',
          amount: 9,
          unit: '°C',
        },
      ],
    },
  }),
  trialOf('cellar-usable-261101-z3f6gm', { kind: 'usable', meter: METER }, usableResult(1392), {
    station: 'cellar',
    stationName: 'Cellar',
    startedAt: '2026-11-01T07:00:00.000Z',
  }),
];

/** Two panel sets in turn, A plugged in. */
export const liveSets = (change: Change = {}): WireTrial =>
  trialOf('shed-twosets-261108-q7r4ub', SETS, null, {
    startedAt: '2026-11-08T18:20:00.000Z',
    steps: [{ at: '2026-11-08T18:40:00.000Z', step: 'a' }],
    ...change,
    judgement: {
      phase: 'running',
      waitsFor: 'otherSet',
      endsBecause: null,
      endedAt: null,
      spoiledBy: [
        {
          what: 'clouds',
          at: '2026-11-08T18:44:00.000Z',
          toAt: '2026-11-08T18:46:00.000Z',
          consequence: 'widens',
          amount: null,
          unit: null,
        },
      ],
      progress: { share: 0.43, leftMs: 19 * 60_000, count: 3, wanted: 7 },
      ...change.judgement,
    },
  });

/** A discharge held against counts that are typed. */
export const liveUsable = (): WireTrial =>
  trialOf('shed-usable-261108-m2x5ka', { kind: 'usable', meter: METER }, null, {
    startedAt: '2026-11-08T16:00:00.000Z',
    typed: [{ at: '2026-11-08T16:10:00.000Z', energyWh: 40 }],
    judgement: {
      phase: 'running',
      endsBecause: null,
      endedAt: null,
      progress: { share: 0.61, leftMs: 110 * 60_000, count: null, wanted: null },
    },
  });

export const trialsAnswer = (
  trials: WireTrial[] = shedTrials(),
  missing: Partial<Record<string, string[]>> = {},
): TrialsAnswer => ({
  kinds: KINDS.map(row => ({
    ...row,
    needs: [...row.needs],
    betterWith: [...row.betterWith],
    missing: missing[row.kind] ?? [],
    waits: [...row.waits],
    ends: [...row.ends],
    spoiledBy: [...row.spoiledBy],
    usualHours: [...row.usualHours],
  })),
  notMeasurable: NOT_MEASURABLE.map(row => ({ ...row })),
  trials,
});

const comparable = ({ id, station, kind, judgement, options }: WireTrial) => ({
  id,
  station,
  kind,
  result: judgement.result!,
  ownWattsLimitPct: options.ownWattsLimitPct ?? 3,
});

/** Held against each other as the agent does; prices as told. */
export function comparison(trials: WireTrial[], paid: Record<string, number> = {}): ComparisonAnswer {
  const pairs = trials.slice(1).map(other => [trials[0]!, other] as const);
  return {
    trials,
    differences: pairs.flatMap(([a, b]) =>
      differencesOf(comparable(a), comparable(b)).map(difference => ({
        ...difference,
        because: [...difference.because],
        budget: [...difference.budget],
      })),
    ),
    worth: trials.map(({ id, station, judgement }) => {
      const delivered = judgement.result?.figures.find(figure => figure.what === 'deliveredByMeterWh');
      const price = paid[station];
      const known = delivered !== undefined && price !== undefined;
      return {
        trial: id,
        perDeliveredWh: known
          ? { value: price / delivered.value, low95: price / delivered.high95, high95: price / delivered.low95 }
          : null,
        perHarvestedWhAYear: null,
        harvestWhAYear: null,
        payBackYears: null,
      };
    }),
    currency: Object.keys(paid).length === 0 ? null : 'EUR',
  };
}

export const firstWeekOf = (change: Partial<FirstWeekAnswer> = {}): FirstWeekAnswer => ({
  station: 'shed',
  firstSeen: '2026-11-01',
  returnBy: '2026-11-14',
  fullyChargedAt: '2026-11-01T15:00:00.000Z',
  steps: [
    { do: 'fullCharge', date: '2026-11-01', hours: [1, 8], state: 'done', trial: null },
    { do: 'usable', date: '2026-11-02', hours: [3, 12], state: 'done', trial: 'shed-usable-261102-k4m7qa' },
    { do: 'charge', date: '2026-11-08', hours: [1, 8], state: 'late', trial: null },
    { do: 'ownDraw', date: '2026-11-09', hours: [5, 12], state: 'open', trial: null },
    { do: 'decide', date: '2026-11-13', hours: [0, 0], state: 'open', trial: null },
  ],
  leftOut: ['converter'],
  ...change,
});

const about = (value: number, half: number) => ({ value, low95: value - half, high95: value + half });

export const yearsOf = (change: Partial<YearsAnswer> = {}): YearsAnswer => ({
  station: 'shed',
  fullCycles: about(412, 9),
  points: [
    ['shed-usable-231104-a', '2023-11-04', 1402, true],
    ['shed-usable-241101-b', '2024-11-01', 1371, true],
    ['shed-usable-250705-c', '2025-07-05', 1330, false],
    ['shed-usable-261102-k4m7qa', '2026-11-02', 1310, true],
  ].map(([trial, day, wh, alike]) => ({
    trial: trial as string,
    at: `${day}T12:00:00.000Z`,
    usable: about(wh as number, 13),
    meanW: alike === true ? 300 : 700,
    tempC: 21,
    comparable: alike as boolean,
    ofFirstPct: alike === true ? about((100 * (wh as number)) / 1402, 1.3) : null,
  })),
  trendPctAYear: about(-2.2, 0.6),
  warranty: { thresholdPct: 70, of: 'rated', untilAt: '2030-11-04T00:00:00.000Z', cycles: 3000, verdict: 'above' },
  ...change,
});
