/**
 * What the record teaches of each named spot: one-minute rollups of the last 90 days in which the panels stood there,
 * read day by day with a pause after each, so that readings are followed and saved meanwhile. Minutes at an unnamed
 * spot, and the one after panels were set down, teach nothing. Instants UTC epoch ms.
 */
import { createSpotLearning } from '#energy/estimates/skyline/learning';
import type { SpotFacts, SpotLearning } from '#energy/estimates/skyline/types';
import type { RecordQueries, Series } from '#messages';
import { limitOf } from '../../../derive/aiming.ts';
import type { StationFacts } from '../../../derive/facts.ts';
import { type DatedFact, spotPlaneAt, staysOf, wholePlane } from '../../../derive/standing.ts';

const MINUTE_MS = 60_000;
const DAY_MS = 86_400_000;
const LOOKED_BACK_MS = 90 * DAY_MS;
/** The newest minutes wait: they may not be saved yet, and a move is told a little later than it is made. */
const WAITS_MS = 5 * MINUTE_MS;
const QUANTITIES = ['solarPowerW', 'inputPowerW', 'outputPowerW', 'stateOfChargePct', 'batteryTempC'] as const;

export interface EvidenceAsked {
  readonly station: string;
  readonly facts: StationFacts;
  readonly dated: readonly DatedFact[];
  /** Of the place; null: nothing can be learned. */
  readonly place: SpotFacts['place'] | null;
  readonly ratedW: number | null;
  readonly nowMs: number;
}

export interface Evidence {
  /** Learns what is new. One at a time; a call while another runs waits for that one. */
  learn(asked: EvidenceAsked): Promise<void>;
  /** Of a spot, as far as learned; null where nothing was. */
  of(spot: string): SpotLearning | null;
}

/** How panels stood at one spot for a while. */
interface Stretch {
  readonly spot: string;
  readonly fromMs: number;
  readonly toMs: number;
  readonly facts: SpotFacts;
}

interface Learner {
  key: string;
  learning: SpotLearning;
  /** Up to here its minutes were read. */
  readToMs: number;
}

export function createEvidence(record: Pick<RecordQueries, 'series'>, pause: () => Promise<void>): Evidence {
  const learners = new Map<string, Learner>();
  let of = '';
  let running: Promise<void> | null = null;

  const learnerOf = ({ spot, facts }: Stretch): Learner => {
    const key = JSON.stringify(facts);
    const known = learners.get(spot);
    if (known?.key === key) return known;
    // Turned another way at the same spot: what stands around it stays.
    const learning = createSpotLearning(facts, known?.learning.pack());
    const learner = { key, learning, readToMs: known?.readToMs ?? 0 };
    learners.set(spot, learner);
    return learner;
  };

  async function read(stretch: Stretch, asked: EvidenceAsked): Promise<void> {
    const learner = learnerOf(stretch);
    let fromMs = Math.max(stretch.fromMs, learner.readToMs);
    while (fromMs + MINUTE_MS <= stretch.toMs) {
      const toMs = Math.min(stretch.toMs, (Math.floor(fromMs / DAY_MS) + 1) * DAY_MS);
      addMinutes(learner.learning, record, asked, fromMs, toMs);
      learner.readToMs = toMs;
      fromMs = toMs;
      await pause();
    }
  }

  async function learnAll(asked: EvidenceAsked): Promise<void> {
    const whose = JSON.stringify([asked.place, asked.ratedW, asked.facts.ceilingPct, asked.facts.solarMaxW]);
    if (whose !== of) learners.clear();
    of = whose;
    if (asked.place === null) return;
    for (const stretch of stretchesOf(asked, asked.place)) await read(stretch, asked);
  }

  return {
    async learn(asked) {
      running ??= learnAll(asked).finally(() => {
        running = null;
      });
      await running;
    },
    of: spot => learners.get(spot)?.learning ?? null,
  };
}

const upToMinute = (ms: number): number => Math.ceil(ms / MINUTE_MS) * MINUTE_MS;
const downToMinute = (ms: number): number => Math.floor(ms / MINUTE_MS) * MINUTE_MS;

/** Whole minutes at named spots, in order of time, cut where the owner said that panels stand otherwise. */
function stretchesOf({ dated, nowMs, ratedW }: EvidenceAsked, place: SpotFacts['place']): Stretch[] {
  const firstMs = nowMs - LOOKED_BACK_MS;
  const lastMs = downToMinute(nowMs - WAITS_MS);
  return staysOf(dated).flatMap(({ spot, fromMs, toMs }) => {
    if (spot === null || toMs <= firstMs) return [];
    const from = Math.max(downToMinute(firstMs), upToMinute(fromMs) + MINUTE_MS);
    const to = Math.min(lastMs, downToMinute(toMs));
    const turns = dated.filter(f => f.key === `spot.${spot}` && f.validFromMs > from && f.validFromMs < to);
    const cuts = [from, ...turns.map(f => upToMinute(f.validFromMs)).sort((a, b) => a - b), to];
    return cuts.slice(0, -1).flatMap((cut, i) => {
      const facts = { place, plane: wholePlane(spotPlaneAt(dated, spot, cut)), ratedW };
      return cuts[i + 1]! > cut ? [{ spot, fromMs: cut, toMs: cuts[i + 1]!, facts }] : [];
    });
  });
}

function addMinutes(
  learning: SpotLearning,
  record: Pick<RecordQueries, 'series'>,
  { station, facts }: EvidenceAsked,
  fromMs: number,
  toMs: number,
): void {
  const points = Math.ceil((toMs - fromMs) / MINUTE_MS);
  const series = record.series({ station, quantities: QUANTITIES, fromMs, toMs, points: Math.max(2, points) });
  for (let i = 0; i < series.count; i++) {
    const atMs = series.startMs + i * series.stepMs;
    const quantities = valuesAt(series, i);
    const powerW = quantities.solarPowerW;
    if (powerW === null || atMs < fromMs) continue;
    learning.add({ atMs, powerW, limited: limitOf({ quantities, states: {} }, facts) !== null });
  }
}

const valuesAt = (series: Series, i: number) => {
  const value = (key: (typeof QUANTITIES)[number]) => series.columns[key]?.mean[i] ?? null;
  return {
    solarPowerW: value('solarPowerW'),
    inputPowerW: value('inputPowerW'),
    outputPowerW: value('outputPowerW'),
    stateOfChargePct: value('stateOfChargePct'),
    batteryTempC: value('batteryTempC'),
  };
};
