/**
 * A plant as a SunSpec device on a Modbus line, with what such devices do wrong: values that stand still, counters that
 * begin again or run over, refusals.
 */
import type { Plant } from '../../plant/station.ts';
import { answerPdu } from './answer.ts';
import { type Make, sunspecWords } from './models.ts';
import type { Shown } from './shown.ts';

export interface DeviceOptions {
  readonly make: Make;
  readonly unit: number;
  /** Address of its mark. */
  readonly base: number;
  readonly ratedWh: number;
}

export interface SunspecDevice {
  readonly unit: number;
  /** The reply to a data unit, as the plant stands now. */
  answer(pdu: Uint8Array): Uint8Array;
  /** The same registers from now on, its heartbeat too. */
  freeze(on: boolean): void;
  /** Counters begin at 0 again, or stand just below the last value of 32 bits. */
  counters(event: 'reset' | 'wrap'): void;
  /** Every read is refused with this exception; null ends it. */
  refuse(code: number | null): void;
}

/** Counters of 32 bits count hundredths of a watt-hour: this much is left before they run over. */
const BEFORE_WRAP_WH = 0.5;
const WRAP_WH = 0x1_0000_0000 / 100;
const READ_REFUSED = 0x83;

type Counters = Pick<Shown, 'solarWh' | 'acOutputWh' | 'dcOutputWh' | 'wallWh'>;

function countersOf(plant: Plant): Counters {
  const { solarWh, acOutputWh, dcOutputWh, chargerWh } = plant.ledger.total();
  return { solarWh, acOutputWh, dcOutputWh, wallWh: chargerWh };
}

/** `startWh`: where each counter stood when the plant's totals were `since`. */
function counted(plant: Plant, since: Counters, startWh: number): Counters {
  const now = countersOf(plant);
  return {
    solarWh: startWh + now.solarWh - since.solarWh,
    acOutputWh: startWh + now.acOutputWh - since.acOutputWh,
    dcOutputWh: startWh + now.dcOutputWh - since.dcOutputWh,
    wallWh: startWh + now.wallWh - since.wallWh,
  };
}

const NOTHING: Counters = { solarWh: 0, acOutputWh: 0, dcOutputWh: 0, wallWh: 0 };

/** `catchUp` lets the plant live on to the present. */
export function createDevice(plant: Plant, catchUp: () => void, options: DeviceOptions): SunspecDevice {
  const { make, unit, base, ratedWh } = options;
  const bornMs = plant.nowMs();
  let since = NOTHING;
  let startWh = 0;
  let refusing: number | null = null;
  let frozen: Uint16Array | null = null;

  const shown = (): Shown => {
    const { quantities: q, states } = plant.sample();
    return {
      ...counted(plant, since, startWh),
      solarW: q.solarPowerW ?? 0,
      solarV: q.solarVoltageV ?? 0,
      solarA: q.solarCurrentA ?? 0,
      wallW: q.chargerPowerW ?? 0,
      acW: q.acOutputPowerW ?? 0,
      dcW: q.dcOutputPowerW ?? 0,
      acOn: states.acOutletsOn,
      chargePct: q.stateOfChargePct ?? 0,
      ratedWh,
      batteryV: q.batteryVoltageV ?? 0,
      batteryA: q.batteryCurrentA ?? 0,
      heartbeat: Math.floor((plant.nowMs() - bornMs) / 1000),
    };
  };
  const words = (): Uint16Array => {
    catchUp();
    return sunspecWords(make, unit, shown());
  };

  return {
    unit,
    answer(pdu) {
      if (refusing !== null && pdu[0] === 0x03) return Uint8Array.of(READ_REFUSED, refusing);
      return answerPdu(pdu, { base, words: frozen ?? words() });
    },
    freeze(on) {
      frozen = on ? words() : null;
    },
    counters(event) {
      catchUp();
      since = countersOf(plant);
      startWh = event === 'reset' ? 0 : WRAP_WH - BEFORE_WRAP_WH;
    },
    refuse(code) {
      refusing = code;
    },
  };
}
