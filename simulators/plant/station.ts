/**
 * The whole plant: sky, panels, pack, converter and loads, advanced step by step through time. Steps end on whole
 * multiples of the grid in epoch time, so two plants started at different instants walk the same steps. Everything
 * drawn depends only on seed and time; only the pack, the panels' and the fridge's warmth remember, and they forget.
 */
import { balance } from './balance.ts';
import { noise, STREAM } from './chance.ts';
import { type CivilDay, civilDays } from './civil-days.ts';
import { type ConverterFacts, converterDrawW } from './converter.ts';
import { createLedger, type Energies, type Ledger } from './ledger.ts';
import type { Load, Moment } from './loads/load.ts';
import { createPack, type PackFacts } from './pack.ts';
import { createPanel, type PanelFacts } from './panel.ts';
import { type Sample, type SampleStates, sampleOf } from './sample.ts';
import type { Tree } from './shade.ts';
import { createSky, type Place } from './sky.ts';

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
  dayAt(ms: number): CivilDay;
  /** The slow gauges alone, for a long recording. */
  gauges(): { shownPct: number; batteryV: number; batteryC: number };
  /** True stored energy, Wh; for checks, a station cannot know it. */
  storedWh(): number;
  /** Watts each load draws now. */
  drawing(): Record<string, number>;
  /** The wall's power comes or goes. */
  setMains(on: boolean): void;
}

/** A plant at its start. */
export function createPlant(o: PlantOptions): Plant {
  const { facts, seed } = o;
  const sky = createSky(seed, o);
  const panels = facts.panels.map(p => createPanel(p, facts.tree, seed));
  const pack = createPack(facts.pack, o.startPct / 100, 20);
  const loads = o.loads(seed);
  const days = civilDays(o.zone);
  const ledger = createLedger(o.startMs);
  const watts: number[] = loads.map(() => 0);
  let nowMs = o.startMs;
  let mains = o.mains ?? false;
  let outletsOn = o.startPct > facts.lowCutoffPct;
  let last = {
    solarW: 0,
    wallW: 0,
    acW: 0,
    dcW: 0,
    packW: 0,
    panelV: 0,
    limit: 'nothing' as SampleStates['inputLimitedBy'],
  };

  const shownPct = () => Math.round(pack.share() * 100);

  const switchOutlets = () => {
    const pct = pack.share() * 100;
    if (mains || pct >= facts.switchOnPct) outletsOn = true;
    else if (pct <= facts.lowCutoffPct) outletsOn = false;
  };

  const draws = (moment: Moment) => {
    let acW = 0;
    let dcW = 0;
    for (let k = 0; k < loads.length; k++) {
      const w = loads[k]!.draw(moment);
      watts[k] = w;
      if (loads[k]!.side === 'ac') acW += w;
      else dcW += w;
    }
    return { acW: Math.min(acW, facts.converter.maxW), dcW };
  };

  const panelsNow = (seen: ReturnType<typeof sky>, ms: number, dtS: number) => {
    let offerW = 0;
    let voltageV = 0;
    for (const panel of panels) {
      const output = panel.step(seen, ms, dtS);
      offerW += output.powerW;
      voltageV = Math.max(voltageV, output.voltageV);
    }
    return { offerW, voltageV };
  };

  const advance = (toMs: number) => {
    const dtS = (toMs - nowMs) / 1000;
    const ms = (nowMs + toMs) / 2;
    const seen = sky(ms);
    const day = days.at(ms);
    switchOutlets();
    const { acW, dcW } = draws({
      ms,
      dtS,
      day,
      minute: (ms - day.startMs) / 60_000,
      airTempC: seen.airTempC,
      sunUp: seen.sun.up,
      shownPct: shownPct(),
      powered: outletsOn,
    });
    const { offerW, voltageV } = panelsNow(seen, ms, dtS);
    // The tracker hunts around the maximum power point, and below the port's limit.
    const hunting = 0.985 + 0.015 * noise(seed, STREAM.tracker, ms / 7_000);
    // On mains the wall feeds the AC outlets directly and the converter rests.
    const throughW = mains ? acW : 0;
    const converterW = outletsOn && !mains ? converterDrawW(facts.converter, acW) : 0;
    const busW = converterW + dcW / facts.dcShare + facts.housekeepingW;
    const acceptW = pack.acceptW(dtS);
    const flows = balance({
      sunOfferW: offerW * hunting,
      portMaxW: facts.solarPortMaxW * hunting,
      wallOfferW: mains ? facts.chargerMaxW : 0,
      busW,
      acceptW,
      tooCold: pack.tooColdToCharge(),
      trackerShare: facts.trackerShare,
      chargerShare: facts.chargerShare,
    });
    const packLostW = (pack.step(flows.packW, dtS, seen.airTempC) * 3600) / dtS;
    const wallW = flows.chargerW + throughW;
    last = { solarW: flows.solarW, wallW, acW, dcW, packW: flows.packW, panelV: voltageV, limit: flows.limit };
    const powers: Energies = {
      solarWh: flows.solarW,
      chargerWh: wallW,
      inputWh: flows.solarW + wallW,
      outputWh: acW + dcW,
      acOutputWh: acW,
      dcOutputWh: dcW,
      packInWh: Math.max(0, flows.packW),
      packOutWh: Math.max(0, -flows.packW),
      lossWh: flows.lostW + packLostW + busW - dcW - (mains ? 0 : acW),
      solarRefusedWh: Math.max(0, offerW * hunting - flows.solarW),
    };
    ledger.add(toMs, dtS, powers);
    nowMs = toMs;
  };

  return {
    nowMs: () => nowMs,
    step(toMs, gridMs = 1000) {
      while (nowMs < toMs) advance(Math.min(toMs, (Math.floor(nowMs / gridMs) + 1) * gridMs));
    },
    sample() {
      switchOutlets();
      const bothIn = last.solarW > 0 && last.wallW > 0;
      return sampleOf({
        solarW: last.solarW,
        wallW: last.wallW,
        acW: last.acW,
        dcW: last.dcW,
        packW: last.packW,
        panelV: last.panelV,
        share: pack.share(),
        ratedWh: facts.pack.ratedWh,
        batteryV: pack.voltageV(),
        batteryC: pack.tempC(),
        states: {
          acOutletsOn: outletsOn,
          dcOutletsOn: outletsOn,
          onMains: mains,
          inputLimitedBy: last.limit,
          inputSource: bothIn ? 'unknown' : last.wallW > 0 ? 'wall' : 'sun',
        },
      });
    },
    ledger,
    dayAt: ms => days.at(ms),
    gauges: () => ({ shownPct: shownPct(), batteryV: pack.voltageV(), batteryC: pack.tempC() }),
    storedWh: () => pack.energyWh(),
    drawing: () => Object.fromEntries(loads.map((load, k) => [load.name, watts[k]!])),
    setMains: on => {
      mains = on;
    },
  };
}
