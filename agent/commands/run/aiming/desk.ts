/**
 * Aiming at one station: its readings go to the judge, the owner's marks and spots to the record, and what can be said
 * of both to whoever asks. Nothing is reckoned while nobody does.
 */
import type { Light, Look, MarkedSpot, Measure, Standing } from '#energy/estimates/aiming/asked';
import type { Plane } from '#energy/laws/incidence';
import type { Reading } from '#kit';
import type {
  Fact,
  LiveMessage,
  Mark,
  MarkAnswer,
  MarkChange,
  MarkChoice,
  RecordQueries,
  SpotChange,
  StationSettings,
} from '#messages';
import { createAiming, standingLight } from '../../../derive/aiming.ts';
import type { StationFacts } from '../../../derive/facts.ts';
import { spotPlaneAt, wholePlane } from '../../../derive/standing.ts';
import { makeMark, marksChanged, spotOf, spotStoodAt, spotsChanged } from './changes.ts';
import { type Keep, type KeptAim, measureOf, openKept } from './kept.ts';
import { wireAim, wireMark } from './say.ts';

/** A move this soon after the judge began to listen may be its beginning. */
const BEGINNING_MS = 5_000;
/** A carry of simulated panels is over by then. */
const CARRIED_MS = 30_000;
/** A reading older than this says nothing of now. */
const FRESH_MS = 15_000;
const LOOKED_UP_MS = 3_000;
/** Readings held to tell what comes in now. */
const HELD_MS = 10_000;
const MOST_HELD = 50;

export interface AimDesk {
  readonly kept: KeptAim;
  /** Takes a reading as it is kept. @param elsewhere watts of another station whose panels stand still */
  add(reading: Reading, elsewhere: { name: string; powerW: number } | null): void;
  /** What its own panels give for a reference to another station's; null where that would mislead. */
  steadyW(atMs: number, sinceMs: number | null): number | null;
  /** Since when the panels stand as they do, as far as was seen. */
  standsSinceMs(nowMs: number): number | null;
  message(nowMs: number): LiveMessage;
  mark(choice: MarkChoice, nowMs: number): MarkAnswer;
  changeMarks(change: MarkChange, nowMs: number): void;
  changeSpots(change: SpotChange, nowMs: number): void;
  /** How panels stand at the spot they stand at; null: as the settings say. */
  planeNow(nowMs: number): Plane | null;
  /** What the judge knows now, for whoever asks why so few watts come. */
  look(nowMs: number): Look;
  /** What where to point is asked with. */
  pointing(): { settings: StationSettings; facts: StationFacts; readings: readonly Reading[] };
  setFacts(settings: StationSettings, facts: StationFacts): void;
}

export interface AimDeskParts {
  readonly record: Pick<RecordQueries, 'spots' | 'marks' | 'lastMark' | 'facts'>;
  readonly keep: Keep;
  /** Quantities its adapter declares. */
  readonly gives: () => readonly string[];
  /** Simulated panels are carried; throws where they cannot be. */
  readonly carry: (spot: string) => void;
}

/** Rated power of all panels and what it loses by warmth, as far as the settings say. */
function judgedBy({ panel }: StationSettings) {
  const ratedW = panel.reduce((sum, p) => sum + p.ratedW * p.count, 0);
  const perK = panel.map(p => (p.powerPctPerK === undefined ? Number.NaN : p.powerPctPerK * p.ratedW * p.count));
  const powerPerK = perK.reduce((a, b) => a + b, 0) / ratedW / 100;
  return { ratedW: ratedW > 0 ? ratedW : null, powerPerK: Number.isFinite(powerPerK) ? powerPerK : null };
}

/** Rating and number of the panels, whichever way they stand. */
const pluggedIn = (facts: readonly Fact[], atMs: number): string => {
  const said = facts.filter(fact => fact.key === 'panel').sort((a, b) => a.validFromMs - b.validFromMs);
  const json = (said.findLast(fact => fact.validFromMs <= atMs) ?? said[0])?.valueJson ?? '[]';
  const panels = JSON.parse(json) as { ratedW: number; count?: number }[];
  return JSON.stringify(panels.map(({ ratedW, count }) => [ratedW, count ?? 1]));
};

export function openAimDesk(initial: StationSettings, initialFacts: StationFacts, parts: AimDeskParts): AimDesk {
  let settings = initial;
  let facts = initialFacts;
  const kept = openKept(initial.id, parts.record, () => facts.zone, parts.keep);
  const aiming = createAiming(judgedBy(settings));
  let readings: Reading[] = [];
  let elsewhereName: string | null = null;
  let known: { of: readonly Mark[]; marked: MarkedSpot[] } | null = null;

  const planeAt = (spot: string | null, atMs: number): Plane | null =>
    spot === null ? null : wholePlane(spotPlaneAt(kept.facts(), spot, atMs));
  const lightOf = (spot: string | null, atMs: number): Light | null =>
    standingLight(facts.place, facts.panels, planeAt(spot, atMs));
  const keyOf = (spot: string, atMs: number): string => `${spot} ${JSON.stringify(planeAt(spot, atMs))}`;
  const keyOfMark = (mark: Mark): string =>
    mark.spot === null ? `mark ${mark.againOf ?? mark.id}` : keyOf(mark.spot, mark.at);

  /** When the panels were last seen to be moved; null where that may be no more than the beginning of this run. */
  const movedAtMs = (measure: Measure | null): number | null => {
    const since = aiming.sinceMs();
    return measure === null || since === null || measure.movedAtMs <= since + BEGINNING_MS ? null : measure.movedAtMs;
  };

  let seenMoved: { atMs: number; movedAtMs: number | null } | null = null;
  /** When they were last moved, looked up every few seconds: others ask with each of their readings. */
  const stoodSince = (atMs: number): number | null => {
    if (seenMoved === null || Math.abs(atMs - seenMoved.atMs) > LOOKED_UP_MS)
      seenMoved = { atMs, movedAtMs: aiming.judge().measure(atMs)?.movedAtMs ?? null };
    return seenMoved.movedAtMs;
  };

  const markedAt = (nowMs: number): MarkedSpot[] => {
    const of = kept.walkMarks(nowMs);
    if (known?.of === of) return known.marked;
    const plugged = pluggedIn(kept.facts(), nowMs);
    const marked = of.flatMap(mark => {
      const measure = measureOf(mark);
      if (measure === null) return [];
      const { id, letter, at } = mark;
      const otherPanels = pluggedIn(kept.facts(), at) !== plugged;
      return { id, letter, spot: keyOfMark(mark), measure, light: lightOf(mark.spot, at), otherPanels };
    });
    known = { of, marked };
    return marked;
  };

  const hereAt = (nowMs: number, measure: Measure | null): Standing => {
    const spot = spotStoodAt(kept, movedAtMs(measure), nowMs);
    const light = lightOf(spot, nowMs);
    if (spot !== null) return { spot: keyOf(spot, nowMs), light };
    // A mark of the stretch that still lasts was made where they stand.
    const mark = measure === null ? undefined : kept.walkMarks(nowMs).findLast(m => m.at >= measure.movedAtMs);
    return { spot: mark === undefined ? null : keyOfMark(mark), light };
  };

  const look = (nowMs: number): Look => {
    const judge = aiming.judge();
    return judge.look(markedAt(nowMs), hereAt(nowMs, judge.measure(nowMs)), nowMs);
  };

  const quantity = () =>
    parts.gives().some(key => key === 'solarPowerW' || key.startsWith('solarPowerW.'))
      ? ('solarPowerW' as const)
      : facts.inputSource === 'sun' && parts.gives().includes('inputPowerW')
        ? ('inputPowerW' as const)
        : null;

  return {
    kept,
    add(reading, elsewhere) {
      readings = [...readings.filter(({ at }) => reading.at - at < HELD_MS), reading].slice(-MOST_HELD);
      elsewhereName = elsewhere?.name ?? null;
      if (quantity() !== null) aiming.add(reading, facts, elsewhere?.powerW ?? null);
    },
    steadyW(atMs, sinceMs) {
      const latest = readings.at(-1);
      const stood = stoodSince(atMs);
      if (latest === undefined || atMs - latest.at > FRESH_MS || aiming.limit() !== null || stood === null) return null;
      return sinceMs !== null && stood > sinceMs ? null : (latest.quantities.solarPowerW ?? null);
    },
    standsSinceMs: stoodSince,
    message: nowMs => ({
      type: 'aim',
      aim: wireAim({
        station: initial.id,
        at: nowMs,
        quantity: quantity(),
        reference: referenceName(aiming.reference(), elsewhereName),
        look: look(nowMs),
        marks: kept.walkMarks(nowMs),
        spots: kept.spots(),
      }),
    }),
    mark(choice, nowMs) {
      const measure = aiming.judge().measure(nowMs);
      if (measure === null) return { mark: null, why: look(nowMs).verdict.kind === 'dark' ? 'dark' : 'short' };
      const { mark, said } = makeMark(kept, measure, movedAtMs(measure), choice, nowMs);
      kept.keep(said);
      const ranked = look(nowMs).marks.find(({ id }) => id === mark.id);
      const told = ranked === undefined ? null : wireMark(mark, ranked, kept.walkMarks(nowMs), kept.spots());
      return { mark: told, why: ranked?.why ?? measure.why };
    },
    changeMarks: (change, nowMs) => kept.keep(marksChanged(kept, change, aiming.judge().measure(nowMs), nowMs)),
    changeSpots(change, nowMs) {
      if (change.do === 'carry') {
        spotOf(kept, change.spot);
        parts.carry(change.spot);
        kept.keep({ facts: [kept.standing(null, nowMs), kept.standing(change.spot, nowMs + CARRIED_MS)] });
      } else kept.keep(spotsChanged(kept, change, nowMs));
      if (change.do === 'carry' || change.do === 'stand') aiming.judge().moved(nowMs);
    },
    planeNow: nowMs => planeAt(kept.stay(nowMs)?.spot ?? null, nowMs),
    look,
    pointing: () => ({ settings, facts, readings }),
    setFacts(nextSettings, nextFacts) {
      [settings, facts] = [nextSettings, nextFacts];
      aiming.setFacts(judgedBy(settings));
      kept.refresh();
      known = null;
    },
  };
}

const referenceName = (kind: 'port' | 'station' | null, elsewhere: string | null): string | null =>
  kind === 'station' ? elsewhere : kind;
