/**
 * Aiming at one station: its readings go to the judge, the owner's marks and spots to the record, and what can be said
 * of both to whoever asks. Nothing is reckoned while nobody does.
 */
import type { Look, Measure } from '#energy/estimates/aiming/asked';
import type { Plane } from '#energy/laws/incidence';
import type { Reading } from '#kit';
import type {
  LiveMessage,
  MarkAnswer,
  MarkChange,
  MarkChoice,
  RecordQueries,
  SpotChange,
  StationSettings,
} from '#messages';
import { createAiming } from '../../../derive/aiming.ts';
import type { StationFacts } from '../../../derive/facts.ts';
import { carriedTo, makeMark, marksChanged, spotsChanged } from './changes.ts';
import { type Keep, type KeptAim, openKept } from './kept.ts';
import { createMoves } from './moves.ts';
import { wireAim, wireMark } from './say.ts';
import { createWhere } from './where.ts';

/** A reading older than this says nothing of now. */
const FRESH_MS = 15_000;
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
  /** Has simulated panels carried; undefined where none are simulated. */
  readonly carry: ((spot: string) => void) | undefined;
}

/** Rated power of all panels and what it loses by warmth, as far as the settings say. */
function judgedBy({ panel }: StationSettings) {
  const ratedW = panel.reduce((sum, p) => sum + p.ratedW * p.count, 0);
  const perK = panel.map(p => (p.powerPctPerK === undefined ? Number.NaN : p.powerPctPerK * p.ratedW * p.count));
  const powerPerK = perK.reduce((a, b) => a + b, 0) / ratedW / 100;
  return { ratedW: ratedW > 0 ? ratedW : null, powerPerK: Number.isFinite(powerPerK) ? powerPerK : null };
}

/** What the figure shows; null where no input could be the sun's. */
const quantityOf = (gives: readonly string[], { inputSource }: Pick<StationFacts, 'inputSource'>) =>
  gives.some(key => key === 'solarPowerW' || key.startsWith('solarPowerW.'))
    ? ('solarPowerW' as const)
    : inputSource === 'sun' && gives.includes('inputPowerW')
      ? ('inputPowerW' as const)
      : null;

export function openAimDesk(initial: StationSettings, initialFacts: StationFacts, parts: AimDeskParts): AimDesk {
  let settings = initial;
  let facts = initialFacts;
  let readings: Reading[] = [];
  let elsewhereName: string | null = null;
  const kept = openKept(initial.id, parts.record, () => facts.zone, parts.keep);
  const aiming = createAiming(judgedBy(settings));
  const where = createWhere(kept, () => facts);
  const moves = createMoves();

  const quantity = () => quantityOf(parts.gives(), facts);
  const measureAt = (nowMs: number): Measure | null => aiming.judge().measure(nowMs);
  const movedAtMs = (measure: Measure | null): number | null => moves.believed(measure, aiming.sinceMs());
  const standsSinceMs = (atMs: number) => moves.since(atMs, () => measureAt(atMs)?.movedAtMs ?? null);

  const look = (nowMs: number): Look => {
    const measure = measureAt(nowMs);
    return aiming.judge().look(where.marked(nowMs), where.here(measure, movedAtMs(measure), nowMs), nowMs);
  };

  /** Said to stand elsewhere, though the judge saw nothing move since they came to where they were said to stand before. */
  const isUnseenMove = (spot: string | null, nowMs: number): boolean => {
    const stood = kept.stay(nowMs);
    if (stood === null || stood.spot === null || stood.spot === spot) return false;
    const movedAt = movedAtMs(measureAt(nowMs));
    return movedAt === null || movedAt <= stood.fromMs;
  };

  return {
    kept,
    add(reading, elsewhere) {
      readings = [...readings.filter(({ at }) => reading.at - at < HELD_MS), reading].slice(-MOST_HELD);
      elsewhereName = elsewhere?.name ?? null;
      if (quantity() !== null) aiming.add(reading, facts, elsewhere?.powerW ?? null);
    },
    steadyW(atMs, sinceMs) {
      const latest = readings.at(-1);
      const stood = standsSinceMs(atMs);
      if (latest === undefined || atMs - latest.at > FRESH_MS || aiming.limit() !== null || stood === null) return null;
      return sinceMs !== null && stood > sinceMs ? null : (latest.quantities.solarPowerW ?? null);
    },
    standsSinceMs,
    message(nowMs) {
      moves.looked(nowMs);
      const kind = aiming.reference();
      const aim = wireAim({
        station: initial.id,
        at: nowMs,
        quantity: quantity(),
        reference: kind === 'station' ? elsewhereName : kind,
        look: look(nowMs),
        marks: kept.walkMarks(nowMs),
        spots: kept.spots(),
      });
      return { type: 'aim', aim };
    },
    mark(choice, nowMs) {
      const measure = measureAt(nowMs);
      if (measure === null) return { mark: null, why: look(nowMs).verdict.kind === 'dark' ? 'dark' : 'short' };
      const { mark, said } = makeMark(kept, measure, movedAtMs(measure), choice, nowMs);
      kept.keep(said);
      const ranked = look(nowMs).marks.find(({ id }) => id === mark.id);
      const told = ranked === undefined ? null : wireMark(mark, ranked, kept.walkMarks(nowMs), kept.spots());
      return { mark: told, why: ranked?.why ?? measure.why };
    },
    changeMarks: (change, nowMs) => kept.keep(marksChanged(kept, change, measureAt(nowMs), nowMs)),
    changeSpots(change, nowMs) {
      const isNews = change.do === 'carry' || (change.do === 'stand' && isUnseenMove(change.spot, nowMs));
      const said =
        change.do === 'carry'
          ? carriedTo(kept, change.spot, nowMs, parts.carry !== undefined)
          : spotsChanged(kept, change, nowMs);
      kept.keep(said);
      if (change.do === 'carry') parts.carry?.(change.spot);
      if (isNews) aiming.judge().moved(nowMs);
    },
    planeNow: nowMs => where.planeAt(kept.stay(nowMs)?.spot ?? null, nowMs),
    look,
    pointing: () => ({ settings, facts, readings }),
    setFacts(nextSettings, nextFacts) {
      [settings, facts] = [nextSettings, nextFacts];
      aiming.setFacts(judgedBy(settings));
      kept.refresh();
    },
  };
}
