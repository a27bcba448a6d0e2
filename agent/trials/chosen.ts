/**
 * What a trial is judged with: the owner's options, put together with what the settings say of the station and what
 * earlier trials of it found. Made once, at its start, and kept: a later change of the settings changes no result.
 */

import type { StandingPanels } from '#energy/estimates/pointing/asked';
import type { CommonOptions, Delivered, OptionsOf, OwnDrawOptions } from '#energy/estimates/trials/asked';
import type { Figure } from '#energy/estimates/trials/figure';
import { KINDS, PRESUMED } from '#energy/estimates/trials/kinds';
import { heldAtRest } from '#energy/estimates/trials/per-percent';
import { gapLimitMs } from '#energy/integrate';
import { DEFAULT_TURBIDITY } from '#energy/sky';
import { WattkeepError } from '#kit';
import type { KeptTrial, StationSettings, TrialOptions, WireJudgement } from '#messages';
import type { KeptAsked } from './life.ts';

/** The station at the trial's start. */
export interface TrialBasis {
  readonly settings: StationSettings;
  /** Quantities its adapter declares. */
  readonly gives: readonly string[];
  /** Usual time between two readings. */
  readonly intervalMs: number;
  readonly panels: readonly StandingPanels[];
  /** Most the solar ports take together, W; null where not told. */
  readonly portMaxW: number | null;
  /** Trials of this station, oldest first. */
  readonly earlier: readonly KeptTrial[];
}

const refuse = (message: string, fix: string) => new WattkeepError('REQUEST_INVALID', message, fix);

/** Of what a kind needs, what the station does not tell. A total stands for its parts, and one port for the sum. */
export function missingFor(kind: string, gives: readonly string[], inputSource: string): string[] {
  const needs = KINDS.find(row => row.kind === kind)?.needs ?? [];
  const told = (key: string): boolean =>
    gives.some(one => one === key || one.startsWith(`${key}.`)) ||
    (key === 'acOutputPowerW' && gives.includes('outputPowerW')) ||
    (key === 'outputPowerW' && gives.includes('acOutputPowerW')) ||
    (key === 'inputPowerW' && (told('solarPowerW') || told('chargerPowerW'))) ||
    (key === 'solarPowerW' && inputSource === 'sun' && gives.includes('inputPowerW'));
  return needs.filter(key => !told(key));
}

function commonOf(options: TrialOptions, { settings }: TrialBasis): CommonOptions {
  const { meter } = options;
  return {
    ratedWh: settings.ratedWh ?? null,
    tempMinC: options.tempMinC ?? PRESUMED.tempMinC,
    tempMaxC: options.tempMaxC ?? PRESUMED.tempMaxC,
    ownWattsLimitPct: options.ownWattsLimitPct ?? PRESUMED.ownWattsLimitPct,
    batteryLimitPct: options.batteryLimitPct ?? PRESUMED.batteryLimitPct,
    meter:
      meter === undefined
        ? null
        : {
            id: meter.source ?? meter.name,
            limitPct: meter.limitPct,
            stepW: meter.stepW,
            stepWh: meter.stepWh,
            byHand: meter.source === null,
          },
  };
}

/** The last trial of a kind that ended well. */
function lastDone(earlier: readonly KeptTrial[], kind: string): WireJudgement | null {
  const judgements = earlier
    .filter(trial => trial.kind === kind && trial.removedAt === null && trial.judgementJson !== null)
    .map(trial => JSON.parse(trial.judgementJson!) as WireJudgement);
  return judgements.findLast(({ phase, result }) => phase === 'done' && result !== null) ?? null;
}

const figureIn = (of: WireJudgement | null, what: string): Figure | undefined =>
  of?.result?.figures.find(figure => figure.what === what);

/** What a percent holds, where a discharge measured it. */
function perPctOf({ earlier }: TrialBasis): OwnDrawOptions['perPctWh'] {
  const figure = figureIn(lastDone(earlier, 'usable'), 'batteryPerPercentWh');
  return figure === undefined ? null : heldAtRest(figure);
}

function deliveredOf(id: string, { earlier }: TrialBasis): Delivered {
  const trial = earlier.find(one => one.id === id && one.kind === 'usable');
  const judgement =
    trial === undefined || trial.judgementJson === null ? null : (JSON.parse(trial.judgementJson) as WireJudgement);
  const figure = figureIn(judgement, 'deliveredByMeterWh') ?? figureIn(judgement, 'deliveredWh');
  const under = judgement?.result?.under;
  if (figure === undefined || typeof under?.fromPct !== 'number' || typeof under.toPct !== 'number')
    throw refuse(`There is no finished discharge trial "${id}".`, 'Name one of this station that is done.');
  return { figure, fromPct: under.fromPct, toPct: under.toPct };
}

function placeOf({ settings }: TrialBasis) {
  const { place } = settings;
  if (place === undefined)
    throw refuse('The place is not told, so the clear sky is not known.', 'Tell Setup where the panels stand.');
  return {
    latitudeDeg: place.latitudeDeg,
    longitudeDeg: place.longitudeDeg,
    altitudeM: place.altitudeM ?? 0,
    turbidity: place.turbidity ?? DEFAULT_TURBIDITY,
  };
}

function optionsOf(options: TrialOptions, basis: TrialBasis): OptionsOf[keyof OptionsOf] {
  const { settings } = basis;
  const common = commonOf(options, basis);
  const fullPct = settings.chargeCeilingPct;
  switch (options.kind) {
    case 'usable':
      return { ...common, floorPct: options.floorPct ?? null, fullPct, cutoffPct: settings.lowCutoffPct };
    case 'ownDraw':
      return {
        ...common,
        narrowPct: options.narrowPct ?? PRESUMED.narrowPct,
        narrowW: options.narrowW ?? PRESUMED.narrowW,
        longestHours: options.longestHours ?? PRESUMED.longestHours,
        perPctWh: perPctOf(basis),
      };
    case 'converter':
      return { ...common, loads: options.loads ?? PRESUMED.loads, perPctWh: perPctOf(basis) };
    case 'charge':
      return {
        ...common,
        source: options.source,
        fromPct: options.fromPct ?? PRESUMED.chargeFromPct,
        toPct: fullPct,
        discharge: options.discharge === undefined ? null : deliveredOf(options.discharge, basis),
      };
    case 'solar': {
      const { panels, portMaxW } = basis;
      if (panels.length === 0) throw refuse('No panels are told.', 'Tell Setup which panels there are.');
      const turbidityTold = settings.place?.turbidity !== undefined;
      return { ...common, place: placeOf(basis), turbidityTold, panels, portMaxW, fullPct };
    }
    case 'twoSets': {
      const { how, a, b, portA, portB } = options;
      return {
        ...common,
        how,
        a,
        b,
        portA: portA ?? 1,
        portB: portB ?? 2,
        place: placeOf(basis),
        panels: basis.panels,
        fullPct,
      };
    }
  }
}

/** @throws WattkeepError REQUEST_INVALID where the station or the settings tell too little for it */
export function chosenFor(options: TrialOptions, basis: TrialBasis): KeptAsked {
  const missing = missingFor(options.kind, basis.gives, basis.settings.inputSource);
  if (missing.length > 0)
    throw refuse(
      `${basis.settings.name} does not tell ${missing.join(', ')}, which this trial needs.`,
      'Choose another kind; GET /api/trials says what each one needs.',
    );
  return {
    options: optionsOf(options, basis),
    gapLimitMs: gapLimitMs(basis.intervalMs),
    meterSource: options.meter?.source ?? null,
  };
}
