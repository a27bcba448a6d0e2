/**
 * The whole plant: sky, panels, port, pack, converter and loads, advanced step by step through time. Steps end on whole
 * multiples of the grid in epoch time, so two plants started at different instants walk the same steps. Everything
 * drawn depends only on seed and time; pack, gauge, tracker and whatever is warm remember, and forget.
 */
import { balance, roomForSunW } from './balance.ts';
import { createGauge, type GaugeFacts } from './battery/gauge.ts';
import { createPack, type Pack, type PackFacts } from './battery/pack.ts';
import { type CivilDay, civilDays } from './civil-days.ts';
import { type ConverterFacts, converterDrawW, converterGivesW } from './converter.ts';
import { type ArrayFacts, createArray } from './electric/array.ts';
import { createHands } from './electric/hands.ts';
import { createTracker, type PortFacts } from './electric/tracker.ts';
import { type Flows, fillPowers, statesOf, still } from './flows.ts';
import { createLedger, FINE_STEP_S, LEDGER_COLUMNS, type Ledger } from './ledger.ts';
import { createShade, type ShadeFacts } from './light/shade.ts';
import { createSky, type Sky, type SkyAt } from './light/sky.ts';
import { type ByHand, drawnByHand, handsOff } from './loads/by-hand.ts';
import { type Load, togetherOf } from './loads/load.ts';
import { type NightSaving, nightSaver } from './night-saving.ts';
import { type Sample, sampleOf } from './sample.ts';
import type { Place } from './sun.ts';

export interface StationFacts {
  readonly pack: PackFacts;
  readonly gauge: GaugeFacts;
  readonly converter: ConverterFacts;
  readonly array: ArrayFacts;
  readonly shade: ShadeFacts;
  readonly solarPort: PortFacts;
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

/** How panels stand at a spot, and what stands around it. */
export interface StandFacts {
  readonly tiltDeg: number;
  readonly azimuthDeg: number;
  readonly shade: ShadeFacts;
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
  /** A measured sky instead of the drawn one. */
  readonly sky?: SkyAt;
  /** Last days of which its ledger can be asked; some four months where it is not said. */
  readonly ledgerDays?: number;
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
  /** True charge, 0..1; for checks. */
  trueShare(): number;
  /** Watts each load draws now. */
  drawing(): Record<string, number>;
  /** Somebody takes the panels up and sets them down elsewhere; it takes some 15 to 20 s. */
  carry(to: StandFacts): void;
  /** The wall's power comes or goes. */
  setMains(on: boolean): void;
  /** What somebody does with plugs and buttons; changed in place. */
  readonly byHand: ByHand;
}

/** A plant at its start. */
export function createPlant(o: PlantOptions): Plant {
  const { facts, seed } = o;
  const sky = o.sky ?? createSky(seed, o);
  const shade = createShade(facts.shade, seed);
  const array = createArray(facts.array, shade);
  const hands = createHands({ ...facts.array.panels[0]!, shade }, seed, array.stand);
  const tracker = createTracker(facts.solarPort);
  const pack = createPack(facts.pack, o.startPct / 100, 20);
  const gauge = createGauge(facts.gauge, facts.pack.capacityAh, o.startPct / 100);
  const loads = togetherOf(o.loads(seed));
  const days = civilDays(o.zone);
  const ledger = createLedger(o.startMs, o.ledgerDays);
  const powersW = new Float64Array(LEDGER_COLUMNS.length);
  const sparing = nightSaver(facts.nightSaving);
  let nowMs = o.startMs;
  let stepS = 1;
  const on = { mains: o.mains ?? false, ac: false, dc: o.startPct > facts.lowCutoffPct };
  const flows = still();
  const byHand = handsOff();

  /** The outlets as the station and its owner have them during this step. */
  const switchOutlets = (day: CivilDay, minute: number): void => {
    on.dc = outletsAfter(on.dc, gauge.share() * 100, on.mains, facts);
    const spared = sparing(day.number, minute, gauge.shownPct());
    on.ac = on.dc && (byHand.outlets === 'habit' ? on.mains || !spared : byHand.outlets === 'on');
  };

  const drawn = (seen: Sky, ms: number, dtS: number) => {
    const day = days.at(ms);
    const minute = (ms - day.startMs) / 60_000;
    switchOutlets(day, minute);
    const own = loads.draw({
      ms,
      dtS,
      day,
      minute,
      airTempC: seen.airTempC,
      sunUp: seen.sun.up,
      shownPct: gauge.shownPct(),
      acOn: on.ac,
      dcOn: on.dc,
    });
    return drawnByHand(byHand, own, on);
  };

  const advance = (toMs: number) => {
    const dtS = (toMs - nowMs) / 1000;
    const ms = (nowMs + toMs) / 2;
    const seen = sky(ms);
    const bus = busOf(facts, drawn(seen, ms, dtS), on, pack, dtS);
    hands.step(ms);
    array.step(seen, ms, dtS);
    const acceptW = pack.acceptW(dtS);
    const roomW = roomForSunW(bus.busW, acceptW, facts);
    const sun = tracker.step(byHand.panels ? array.strings : [], Math.min(facts.solarPort.maxW, roomW), ms, dtS);
    const limit =
      sun.heldBy !== 'watts' || roomW >= facts.solarPort.maxW
        ? sun.heldBy === 'nothing'
          ? 'nothing'
          : 'port'
        : pack.tooColdToCharge()
          ? 'cold'
          : 'full';
    const { chargerW, packW, lostW } = balance(sun.powerW, on.mains ? facts.chargerMaxW : 0, bus.busW, acceptW, facts);
    flows.acW = bus.acW;
    flows.dcW = bus.dcW;
    flows.busW = bus.busW;
    flows.solarW = sun.powerW;
    flows.sunOfferW = sun.offerW;
    flows.panelV = sun.voltageV;
    flows.limit = limit;
    flows.chargerW = chargerW;
    flows.packW = packW;
    flows.lostW = lostW;
    flows.wallW = chargerW + (on.mains ? bus.acW : 0);
    const packLostW = (pack.step(packW, dtS, seen.airTempC) * 3600) / dtS;
    gauge.count(pack.currentA(), dtS, pack.share());
    fillPowers(powersW, flows, packLostW, on.mains);
    ledger.add(toMs, dtS, powersW);
    nowMs = toMs;
    stepS = dtS;
  };

  return {
    nowMs: () => nowMs,
    step(toMs, gridMs = 1000) {
      while (nowMs < toMs) advance(Math.min(toMs, (Math.floor(nowMs / gridMs) + 1) * gridMs));
    },
    sample: () =>
      sampleOf({
        ...(stepS > FINE_STEP_S ? flows : lastSecond(ledger, nowMs)),
        panelV: flows.panelV,
        share: gauge.share(),
        shownPct: gauge.shownPct(),
        ratedWh: facts.pack.ratedWh,
        batteryV: pack.voltageV(),
        batteryA: pack.currentA(),
        batteryC: pack.tempC(),
        states: statesOf(flows, on),
      }),
    ledger,
    gauges: () => ({ shownPct: gauge.shownPct(), batteryV: pack.voltageV(), batteryC: pack.tempC() }),
    storedWh: () => pack.energyWh(),
    trueShare: () => pack.share(),
    drawing: loads.drawing,
    carry: ({ tiltDeg, azimuthDeg, shade: behind }) =>
      hands.carry({ tiltDeg, azimuthDeg, shade: createShade(behind, seed) }, nowMs),
    setMains: live => {
      on.mains = live;
    },
    byHand,
  };
}

/** Mean powers of the last second, which is what a station shows; in longer steps it shows the last step's. W. */
function lastSecond(ledger: Ledger, nowMs: number) {
  const { solarWh, chargerWh, acOutputWh, dcOutputWh, coveredMs } = ledger.between(nowMs - 1000, nowMs);
  const perMs = coveredMs === 0 ? 0 : 3_600_000 / coveredMs;
  return {
    solarW: solarWh * perMs,
    wallW: chargerWh * perMs,
    acW: acOutputWh * perMs,
    dcW: dcOutputWh * perMs,
  };
}

/** Outlets stop at the station's own cut-off; the owner has them on again once there is enough, or on wall power. */
function outletsAfter(on: boolean, pct: number, mains: boolean, facts: StationFacts): boolean {
  if (mains || pct >= facts.switchOnPct) return true;
  return on && pct > facts.lowCutoffPct;
}

/** What the battery side must give. On mains the wall feeds the AC outlets directly and the converter rests. */
function busOf(
  facts: StationFacts,
  wanted: { acW: number; dcW: number },
  on: { mains: boolean; ac: boolean; dc: boolean },
  pack: Pack,
  dtS: number,
): Pick<Flows, 'acW' | 'dcW' | 'busW'> {
  const acW = converterGivesW(facts.converter, wanted.acW, dtS);
  const converterW = on.ac && !on.mains ? converterDrawW(facts.converter, acW) : 0;
  const giveW = pack.giveW(dtS);
  const outletsW = converterW + wanted.dcW / facts.dcShare;
  const busW = outletsW + facts.housekeepingW;
  if (busW <= giveW || on.mains) return { acW, dcW: wanted.dcW, busW };
  // Asked for more than is left, it drops its outlets; an empty pack keeps not even its own electronics awake.
  return { acW: 0, dcW: 0, busW: Math.min(facts.housekeepingW, giveW) };
}
