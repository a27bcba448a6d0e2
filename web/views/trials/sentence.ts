/** The sentence of Trials and of one trial: chosen from what was judged, in words and with ranges. Decides nothing else. */
import { PRESUMED } from '#energy/estimates/trials/kinds';
import type { FirstWeekAnswer, TrialKind, WireFigure, WireTrial } from '#messages';
import { asText, type Formats, GAP, spanText, type Times } from '../../format.ts';
import * as words from '../../words/trials.ts';
import * as result from '../../words/trials-result.ts';
import { told } from './rounding.ts';

export interface Sentence {
  headline: string;
  sure: string[];
}

export interface Said {
  formats: Formats;
  times: Times;
  /** Epoch ms. */
  nowAt: number;
}

export const isLive = ({ judgement: { phase } }: WireTrial): boolean => phase === 'waiting' || phase === 'running';
export const isDone = ({ judgement }: WireTrial): boolean => judgement.phase === 'done' && judgement.result !== null;
export const figureOf = (trial: WireTrial, what: WireFigure['what']): WireFigure | null =>
  trial.judgement.result?.figures.find(figure => figure.what === what) ?? null;

/** What a kind is for, the best first. */
const HEADS: Record<TrialKind, readonly WireFigure['what'][]> = {
  usable: ['deliveredByMeterWh', 'deliveredWh'],
  charge: ['minutesTo100', 'minutesTo90', 'minutesTo80', 'takenInWh'],
  ownDraw: ['ownDrawW'],
  converter: ['efficiencyPct', 'fixedLossW'],
  solar: ['ofClearSkyPct', 'harvestWh'],
  twoSets: ['bOfAPerRatedPct', 'bOfAPct'],
};

/** The figure a trial was made for; of several loads the largest. */
export function headFigure(trial: WireTrial): WireFigure | null {
  for (const what of HEADS[trial.kind]) {
    const found = trial.judgement.result?.figures.filter(figure => figure.what === what) ?? [];
    if (found.length > 0) return found.reduce((a, b) => ((b.atW ?? 0) > (a.atW ?? 0) ? b : a));
  }
  return null;
}

/** The energy on the label, as the trial itself held against it. */
function ratedOf(trial: WireTrial, figure: WireFigure): number | null {
  const share = figureOf(trial, figure.what === 'deliveredByMeterWh' ? 'shareOfRatedByMeterPct' : 'shareOfRatedPct');
  return share === null || share.value <= 0 ? null : (100 * figure.value) / share.value;
}

/** The result of one trial in one sentence; null where it has none. */
export function resultSentence(trial: WireTrial, formats: Formats): string | null {
  const figure = headFigure(trial);
  if (figure === null) return null;
  const { text, give } = told(figure, figure.unit, formats);
  switch (figure.what) {
    case 'deliveredByMeterWh':
    case 'deliveredWh': {
      const rated = ratedOf(trial, figure);
      // Of one unit, it is written once.
      const label = rated === null ? null : asText(formats.energy(Math.round(rated))).replace(`${GAP}Wh`, '');
      return words.delivers(text, label, give);
    }
    case 'ownDrawW':
      return words.drawsItself(text, give);
    case 'minutesTo100':
      return words.chargesIn(text, give);
    case 'harvestWh':
      return words.bringsIn(text, give);
    case 'efficiencyPct':
      return words.keepsOf(text, asText(formats.power(figure.atW)), give);
    case 'ofClearSkyPct':
      return words.ofClearSky(text, give);
    case 'bOfAPct':
    case 'bOfAPerRatedPct': {
      const { options } = trial;
      const [a, b] = options.kind === 'twoSets' ? [options.a.name, options.b.name] : ['A', 'B'];
      return words.bOfA(text, b, a, give);
    }
    default:
      return `${result.FIGURES[figure.what]} ${text}, ${give}.`;
  }
}

/** `at 310 W, 21 °C`, as far as known. */
export function underText(trial: WireTrial, { formats }: Said): string {
  const under = trial.judgement.result?.under;
  if (under === undefined) return '';
  const parts = [
    // With nothing plugged in there is no load to tell of, and the mean of a day of sun says nothing.
    under.meanW === null || trial.kind === 'ownDraw' || trial.kind === 'solar'
      ? []
      : [asText(formats.power(under.meanW))],
    under.tempC === null ? [] : [asText(formats.temperature(under.tempC))],
  ].flat();
  return parts.length === 0 ? '' : words.at(`at ${parts[0]}`, ...parts.slice(1));
}

/** From one moment to another, a day that both share said once. */
export function spanOf(from: number, to: number, { times, nowAt }: Said, always = false): string {
  const [first, second] = [times.moment(from, nowAt, always), times.moment(to, nowAt, always)];
  if (first === second) return first;
  return result.fromToMoment(first, times.date(from) === times.date(to) ? times.time(to) : second);
}

export const dayOf = (trial: WireTrial, { times, nowAt }: Said): string =>
  times.dayMonth(times.date(Date.parse(trial.judgement.endedAt ?? trial.startedAt)), times.date(nowAt));

/** By what its main figure was measured, when, and under what. */
export function sureOf(trial: WireTrial, said: Said): string[] {
  const head = headFigure(trial);
  const { meter } = trial.options;
  return [
    words.conditions(dayOf(trial, said), underText(trial, said)),
    ...(head?.against === 'meter' && meter !== undefined
      ? [words.byMeter(meter.name)]
      : head?.against === 'ownWatts'
        ? [words.byOwnWatts(asText(said.formats.percent(trial.options.ownWattsLimitPct ?? PRESUMED.ownWattsLimitPct)))]
        : []),
    ...(trial.simulated ? [words.SIMULATED_LONG] : []),
  ];
}

const newest = (trials: readonly WireTrial[]): WireTrial | null =>
  trials.reduce<WireTrial | null>((a, b) => (a === null || b.startedAt > a.startedAt ? b : a), null);

/** The trial that answers best: usable energy before all else, by a meter before own watts, the newest. */
export function bestTrial(trials: readonly WireTrial[]): WireTrial | null {
  const done = trials.filter(trial => isDone(trial) && headFigure(trial) !== null);
  const usable = done.filter(({ kind }) => kind === 'usable');
  return (
    newest(usable.filter(trial => figureOf(trial, 'deliveredByMeterWh') !== null)) ?? newest(usable) ?? newest(done)
  );
}

/** Does it deliver what it says? */
export function trialsSentence(trials: readonly WireTrial[], week: FirstWeekAnswer | null, said: Said): Sentence {
  const best = bestTrial(trials);
  if (best !== null) {
    const sure = sureOf(best, said);
    const draw = newest(trials.filter(trial => isDone(trial) && trial.kind === 'ownDraw'));
    const figure = draw === null || best.kind === 'ownDraw' ? null : figureOf(draw, 'ownDrawW');
    if (figure !== null) {
      const { text, give } = told(figure, figure.unit, said.formats);
      sure.push(words.AND_OWN(text, give));
    }
    return { headline: resultSentence(best, said.formats)!, sure };
  }
  const live = newest(trials.filter(isLive));
  // How it goes stands right below.
  if (live !== null) return { headline: words.UNDER_WAY_ONLY, sure: [] };
  return week !== null && week.fullyChargedAt === null
    ? { headline: words.FIRST_CHARGE, sure: [words.FIRST_CHARGE_SURE] }
    : { headline: words.NOTHING_TRIED, sure: [words.NOTHING_TRIED_SURE] };
}

/** What a trial is doing that has not come to its end. */
export function liveSentence(trial: WireTrial, { formats }: Said): Sentence {
  const { phase, waitsFor, progress } = trial.judgement;
  if (phase === 'waiting') {
    const [headline, todo] = words.WAITS[waitsFor ?? 'readings'];
    return { headline, sure: [todo] };
  }
  const share =
    progress.share === null ? null : asText(formats.percent(Math.min(99, Math.floor(100 * progress.share))));
  const sure = [
    ...(progress.leftMs === null ? [] : [result.left(spanText(progress.leftMs))]),
    ...(progress.count === null || progress.wanted === null
      ? []
      : [result.counted(formats.number(progress.count, 0), formats.number(progress.wanted, 0))]),
    ...(waitsFor === null ? [] : words.WAITS[waitsFor]),
  ];
  return { headline: result.RUNNING(words.KINDS[trial.kind].name, share), sure };
}

/** What is said of one trial, whatever has become of it. */
export function trialSentence(trial: WireTrial, said: Said): Sentence {
  const { phase, spoiledBy } = trial.judgement;
  if (phase === 'waiting' || phase === 'running') {
    const { headline, sure } = liveSentence(trial, said);
    return { headline, sure: [...sure, ...(trial.simulated ? [words.SIMULATED_LONG] : [])] };
  }
  if (phase === 'spoiled') {
    const why = spoiledBy.find(({ consequence }) => consequence === 'spoils');
    const [happened, todo] = why === undefined ? ['', ''] : result.whatOf(trial.kind, why.what);
    return {
      headline: result.SPOILED(happened).trim(),
      sure: [result.SPOILED_SURE, ...(todo === '' ? [] : [todo])],
    };
  }
  if (phase === 'interrupted') {
    const { endsBecause } = trial.judgement;
    return {
      headline: result.INTERRUPTED,
      sure: [
        ...(endsBecause === null ? [] : [words.ENDED[endsBecause]]),
        result.INTERRUPTED_SURE[trial.judgement.result === null ? 'none' : 'some'],
      ],
    };
  }
  return {
    headline: resultSentence(trial, said.formats) ?? words.NOTHING_TRIED,
    sure: sureOf(trial, said),
  };
}
