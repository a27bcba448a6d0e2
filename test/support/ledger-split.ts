/** The plant's days on record, and the Ledger's split of each beside the truth. Energies Wh. */
import { civilDate } from '#energy/civil-day';
import type { LedgerAnswer } from '#messages';
import { ledgerWorked } from '../../agent/commands/ledger-answer.ts';
import { factsOfSettings } from '../../agent/commands/ledger-facts.ts';
import { factsOf } from '../../agent/commands/run/station-facts.ts';
import { takeRecording } from '../../agent/commands/take-recording.ts';
import { describeShed } from '../../simulators/honey-shed.ts';
import { shedSpot } from '../../simulators/honey-shed-spots.ts';
import { type PlantOptions, plantMinutes } from './ledger-plant.ts';
import { factOf, shedSettings } from './ledger-record.ts';
import { freshFolder, openTestRecord, reading } from './record.ts';

const MINUTE_MS = 60_000;
const CAUSES = ['cloud', 'shade', 'full', 'other'] as const;
export type Cause = (typeof CAUSES)[number];
export type Split = Record<Cause, number>;

export interface SplitDay {
  readonly date: string;
  readonly clearSkyWh: number;
  readonly harvestWh: number;
  readonly truth: Split;
  readonly told: Split;
}

/** The owner named the spot where the panels stand, and told how they do. */
export function splitDays(options: PlantOptions): { days: SplitDay[]; answer: LedgerAnswer } {
  const { zone, spot, fromMs, toMs } = options;
  const { latitudeDeg, longitudeDeg } = options;
  const described = describeShed(zone, { latitudeDeg, longitudeDeg });
  const { tiltDeg, azimuthDeg } = shedSpot(options, spot);
  const settings = shedSettings({ ...described, panel: described.panel.map(p => ({ ...p, tiltDeg, azimuthDeg })) });
  const record = openTestRecord(freshFolder());
  const truth = new Map<string, Split & { clear: number }>();
  const readings = function* () {
    let seq = 0;
    for (const minute of plantMinutes(options)) {
      const date = civilDate(minute.atMs, zone);
      const of = truth.get(date) ?? { cloud: 0, shade: 0, full: 0, other: 0, clear: 0 };
      of.cloud += minute.cloudW / 60;
      of.shade += minute.shadeW / 60;
      of.full += (minute.fullW + minute.portW) / 60;
      of.clear += minute.clearW / 60;
      truth.set(date, of);
      const solarPowerW = Math.round(minute.solarW * 10) / 10;
      const quantities = {
        inputPowerW: solarPowerW,
        solarPowerW,
        outputPowerW: Math.round(minute.outputW),
        stateOfChargePct: minute.pct,
      };
      const at = minute.atMs + MINUTE_MS / 2;
      yield reading(++seq, quantities, { at, monoMs: at - fromMs });
    }
  };
  takeRecording(readings(), factsOf(settings, MINUTE_MS, zone), record, null);
  const facts = [...factsOfSettings(settings), factOf('standing', { spot }, 0)];
  const asked = { station: 'shed', zone, from: '0001-01-01', to: '9999-12-31', nowMs: toMs, facts };
  const { answer } = ledgerWorked(record, asked);
  const days = answer.days.map(({ date, clearSkyWh, solarWh, whereItWent }): SplitDay => {
    const { cloudWh, shadeWh, fullWh, portLimitWh, otherWh } = whereItWent!;
    const { clear, ...true_ } = truth.get(date)!;
    return {
      date,
      clearSkyWh: clearSkyWh!,
      harvestWh: solarWh,
      truth: { ...true_, other: clearSkyWh! - clear },
      told: { cloud: cloudWh, shade: shadeWh, full: fullWh + portLimitWh, other: otherWh },
    };
  });
  return { days, answer };
}

/** How far a cause is off over all days, and on the middle and on nine in ten days, as shares of the clear sky. */
export function offOf(days: readonly SplitDay[], cause: Cause) {
  const clear = days.reduce((sum, day) => sum + day.clearSkyWh, 0);
  const off = days.map(({ told, truth, clearSkyWh }) => Math.abs(told[cause] - truth[cause]) / clearSkyWh);
  off.sort((a, b) => a - b);
  const at = (share: number) => off[Math.min(off.length - 1, Math.floor(share * off.length))]!;
  const total = (which: 'told' | 'truth') => days.reduce((sum, day) => sum + day[which][cause], 0);
  return {
    allWh: [total('truth'), total('told')],
    all: (total('told') - total('truth')) / clear,
    p50: at(0.5),
    p90: at(0.9),
  };
}

export { CAUSES };
