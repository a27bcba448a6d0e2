/**
 * The whole plant: sky, panels, pack, converter and loads, advanced step by step through time. Steps end on whole
 * multiples of the grid in epoch time, so two plants started at different instants walk the same steps. Everything
 * drawn depends only on seed and time; only the pack, the panels' and the fridge's warmth remember, and they forget.
 */
import { type Balance, balance } from './balance.ts';
import { noise, STREAM } from './chance.ts';
import { civilDays } from './civil-days.ts';
import { type ConverterFacts, converterDrawW } from './converter.ts';
import { createLedger, LEDGER_COLUMNS, type Ledger } from './ledger.ts';
import { type Load, togetherOf } from './loads/load.ts';
import { type NightSaving, nightSaver } from './night-saving.ts';
import { createPack, type Pack, type PackFacts } from './pack.ts';
import { createPanels, type PanelFacts } from './panel.ts';
import { type Sample, type SampleStates, sampleOf } from './sample.ts';
import type { Tree } from './shade.ts';
import { createSky } from './sky.ts';
import type { Place } from './sun.ts';

export interface StationFacts {
  readonly pack: PackFacts;
  readonly converter: ConverterFacts;
  readonly panels: readonly PanelFacts[];
  readonly tree: Tree | null;
  readonly solarPortMaxW: number;
  readonly trackerShare: number;
  readonly chargerMaxW: number;
  readonly chargerShare: number;
  readonly dcShare: number;
  /** Own electronics, always on, W. */
  readonly housekeepingW: number;
  /** State of charge at which it switches its outlets off, %. */
  readonly lowCutoffPct: number;
  /** State of charge at which the owner has switched them on again, %. */
  readonly switchOnPct: number;
  /** The owner's habit of switching the AC outlets off for the night when little is left. */
  readonly nightSaving: NightSaving;
}

export interface PlantOptions extends Place {
  readonly seed: number;
  readonly zone: string;
  readonly startMs: number;
  readonly startPct: number;
  readonly facts: StationFacts;
  readonly loads: (seed: number) => readonly Load[];
  /** The shed has a wall outlet and it is live at the start. */
  readonly mains?: boolean;
}

export interface Plant {
  nowMs(): number;
  /** Advances to `toMs` in steps of at most `gridMs` (default 1000). Time never goes back: an earlier `toMs` does nothing. */
  step(toMs: number, gridMs?: number): void;
  /** What the station shows now. */
  sample(): Sample;
  readonly ledger: Ledger;
  /** The slow gauges alone, for a long recording. */
  gauges(): { shownPct: number; batteryV: number; batteryC: number };
  /** True stored energy, Wh; for checks, a station cannot know it. */
  storedWh(): number;
  /** Watts each load draws now. */
  drawing(): Record<string, number>;
  /** The wall's power comes or goes. */
  setMains(on: boolean): void;
}

/** Powers of the last step, W. */
interface Flows extends Balance {
  readonly acW: number;
  readonly dcW: number;
  /** All that the wall gives: to the charger and straight through to the AC outlets. */
  readonly wallW: number;
  readonly busW: number;
  readonly sunOfferW: number;
  readonly panelV: number;
}

const STILL: Flows = {
  solarW: 0,
  chargerW: 0,
  packW: 0,
  limit: 'nothing',
  lostW: 0,
  acW: 0,
  dcW: 0,
  wallW: 0,
  busW: 0,
  sunOfferW: 0,
  panelV: 0,
};

/** A plant at its start. */
export function createPlant(o: PlantOptions): Plant {
  const { facts, seed } = o;
  const sky = createSky(seed, o);
  const panels = createPanels(facts.panels, facts.tree, seed);
  const pack = createPack(facts.pack, o.startPct / 100, 20);
  const loads = togetherOf(o.loads(seed));
  const days = civilDays(o.zone);
  const ledger = createLedger(o.startMs);
  const powersW = new Float64Array(LEDGER_COLUMNS.length);
  let nowMs = o.startMs;
  let mains = o.mains ?? false;
  let outletsOn = o.startPct > facts.lowCutoffPct;
  let acOn = outletsOn;
  let flows = STILL;
  const sparing = nightSaver(facts.nightSaving);
  const shownPct = () => Math.round(pack.share() * 100);

  const advance = (toMs: number) => {
    const dtS = (toMs - nowMs) / 1000;
    const ms = (nowMs + toMs) / 2;
    const seen = sky(ms);
    const day = days.at(ms);
    outletsOn = outletsAfter(outletsOn, pack.share() * 100, mains, facts);
    const minute = (ms - day.startMs) / 60_000;
    acOn = outletsOn && (mains || !sparing(day.number, minute, shownPct()));
    const drawn = loads.draw({
      ms,
      dtS,
      day,
      minute,
      airTempC: seen.airTempC,
      sunUp: seen.sun.up,
      shownPct: shownPct(),
      acOn,
      dcOn: outletsOn,
    });
    // The tracker hunts around the maximum power point, and below the port's limit.
    const hunting = 0.985 + 0.015 * noise(seed, STREAM.tracker, ms / 7_000);
    flows = settle(facts, { sun: panels.step(seen, ms, dtS), drawn, hunting, mains, acOn }, pack, dtS);
    const packLostW = (pack.step(flows.packW, dtS, seen.airTempC) * 3600) / dtS;
    fillPowers(powersW, flows, packLostW, mains);
    ledger.add(toMs, dtS, powersW);
    nowMs = toMs;
  };

  return {
    nowMs: () => nowMs,
    step(toMs, gridMs = 1000) {
      while (nowMs < toMs) advance(Math.min(toMs, (Math.floor(nowMs / gridMs) + 1) * gridMs));
    },
    sample: () => sampleOf({ ...flows, ...readPack(pack, facts), states: statesOf(flows, acOn, outletsOn, mains) }),
    ledger,
    gauges: () => ({ shownPct: shownPct(), batteryV: pack.voltageV(), batteryC: pack.tempC() }),
    storedWh: () => pack.energyWh(),
    drawing: loads.drawing,
    setMains: on => {
      mains = on;
    },
  };
}

/** Outlets stop at the station's own cut-off; the owner has them on again once there is enough, or on wall power. */
function outletsAfter(on: boolean, pct: number, mains: boolean, facts: StationFacts): boolean {
  if (mains || pct >= facts.switchOnPct) return true;
  return on && pct > facts.lowCutoffPct;
}

interface Given {
  readonly sun: { offerW: number; voltageV: number };
  readonly drawn: { acW: number; dcW: number };
  /** Share of the offer the tracker holds. */
  readonly hunting: number;
  readonly mains: boolean;
  readonly acOn: boolean;
}

/** One step's powers. On mains the wall feeds the AC outlets directly and the converter rests. */
function settle(facts: StationFacts, given: Given, pack: Pack, dtS: number): Flows {
  const acW = Math.min(given.drawn.acW, facts.converter.maxW);
  const converterW = given.acOn && !given.mains ? converterDrawW(facts.converter, acW) : 0;
  // An empty pack keeps not even its own electronics awake.
  const awakeW = pack.energyWh() > 0 || given.sun.offerW > facts.housekeepingW ? facts.housekeepingW : 0;
  const busW = converterW + given.drawn.dcW / facts.dcShare + awakeW;
  const sunOfferW = given.sun.offerW * given.hunting;
  const balanced = balance({
    sunOfferW,
    portMaxW: facts.solarPortMaxW * given.hunting,
    wallOfferW: given.mains ? facts.chargerMaxW : 0,
    busW,
    acceptW: pack.acceptW(dtS),
    tooCold: pack.tooColdToCharge(),
    trackerShare: facts.trackerShare,
    chargerShare: facts.chargerShare,
  });
  return {
    solarW: balanced.solarW,
    chargerW: balanced.chargerW,
    packW: balanced.packW,
    limit: balanced.limit,
    lostW: balanced.lostW,
    acW,
    dcW: given.drawn.dcW,
    wallW: balanced.chargerW + (given.mains ? acW : 0),
    busW,
    sunOfferW,
    panelV: given.sun.voltageV,
  };
}

/** Writes a step's powers in the order of the ledger's columns; typed, since an object of numbers a step costs more than the physics. */
function fillPowers(row: Float64Array, f: Flows, packLostW: number, mains: boolean): void {
  row[0] = f.solarW;
  row[1] = f.wallW;
  row[2] = f.solarW + f.wallW;
  row[3] = f.acW + f.dcW;
  row[4] = f.acW;
  row[5] = f.dcW;
  row[6] = Math.max(0, f.packW);
  row[7] = Math.max(0, -f.packW);
  row[8] = f.lostW + packLostW + f.busW - f.dcW - (mains ? 0 : f.acW);
  row[9] = f.sunOfferW - f.solarW;
}

const readPack = (pack: Pack, facts: StationFacts) => ({
  share: pack.share(),
  ratedWh: facts.pack.ratedWh,
  batteryV: pack.voltageV(),
  batteryC: pack.tempC(),
});

const statesOf = (f: Flows, acOn: boolean, dcOn: boolean, mains: boolean): SampleStates => ({
  acOutletsOn: acOn,
  dcOutletsOn: dcOn,
  onMains: mains,
  inputLimitedBy: f.limit,
  // With both coming in there is no one word for it; the two powers are told apart.
  inputSource: f.wallW === 0 ? 'sun' : f.solarW === 0 ? 'wall' : 'unknown',
});
