/**
 * A plant as the registers of a SunSpec device, in two makes: a newer one (models 1, 701, 713, 714, 802) and an older
 * one (1, 103, 160, 802). Points stand in the order of the published definitions (SunSpec Alliance,
 * github.com/sunspec/models, Apache-2.0), and lengths follow from what is written.
 *
 * The newer one counts battery current positive while discharging, the older one while charging: the model allows both.
 */
import { AC_HZ, AC_V, chargeState, HEALTH_PCT, type Shown } from './shown.ts';
import { Words } from './words.ts';

export type Make = '701' | '103';

/** 1, common. */
const common = (words: Words, make: Make, unit: number): Words =>
  words
    .text('An invented maker', 16)
    .text(make === '701' ? 'Shed station' : 'Older shed station', 16)
    .text('', 8)
    .text('1.0', 8)
    .text('0000001', 16)
    .uint16(unit)
    .none(1);

/** 23 registers of a phase that is not there. */
const noPhase = (words: Words): Words =>
  words
    .none(5, 'int16')
    .none(2)
    .none(4 * 4);

/** 701, AC measurement. Single phase; power positive while generating. */
const acMeasurement = (words: Words, s: Shown): Words => {
  words
    .uint16(0)
    .uint16(s.acOn ? 1 : 0)
    .none(1)
    .uint16(0)
    .bits32()
    .bits32()
    .int16(s.acW, -1)
    .none(3, 'int16')
    .int16(s.acOn ? s.acW / AC_V : 0, -2)
    .none(1)
    .uint16(s.acOn ? AC_V : 0, -1)
    .uint32(s.acOn ? AC_HZ : 0, -2)
    .uint64(s.acOutputWh, -1)
    .uint64()
    .uint64()
    .uint64()
    .none(6, 'int16');
  for (let phase = 0; phase < 3; phase++) noPhase(words);
  words.none(1).bits32();
  return words.scale(-2).scale(-1).scale(-2).scale(-1).none(3, 'int16').scale(-1).none(2, 'int16').text('', 32);
};

/** 713, storage capacity. */
const storageCapacity = (words: Words, s: Shown): Words =>
  words
    .uint16(s.ratedWh)
    .uint16((s.ratedWh * s.chargePct * HEALTH_PCT) / 10_000)
    .uint16(s.chargePct, -1)
    .uint16(HEALTH_PCT, -1)
    .uint16(0)
    .scale(0)
    .scale(-1);

interface Port {
  readonly kind: 0 | 1 | 3 | 4;
  readonly name: string;
  readonly amps?: number;
  readonly volts?: number;
  readonly watts: number;
  readonly injectedWh?: number;
  readonly absorbedWh?: number;
}

/** 714, DC measurement: ports of the sun, the battery (positive while it gives), the wall's charger, the DC outlets. */
const dcMeasurement = (words: Words, s: Shown): Words => {
  const batteryW = -s.batteryA * s.batteryV;
  const ports: readonly Port[] = [
    { kind: 0, name: 'Solar', amps: s.solarA, volts: s.solarV, watts: s.solarW, injectedWh: s.solarWh },
    { kind: 1, name: 'Battery', amps: -s.batteryA, volts: s.batteryV, watts: batteryW },
    { kind: 3, name: 'Charger', watts: s.wallW, injectedWh: s.wallWh },
    { kind: 4, name: 'DC outlets', watts: -s.dcW, absorbedWh: s.dcOutputWh },
  ];
  words.bits32().uint16(ports.length).none(2, 'int16').uint64().uint64();
  words.scale(-2).scale(-2).scale(-1).scale(-1).none(1, 'int16');
  for (const [i, port] of ports.entries()) {
    words
      .uint16(port.kind)
      .uint16(i + 1)
      .text(port.name, 8)
      .int16(port.amps, -2)
      .uint16(port.volts, -2)
      .int16(port.watts, -1)
      .uint64(port.injectedWh, -1)
      .uint64(port.absorbedWh, -1)
      .none(1, 'int16')
      .uint16(1)
      .bits32();
  }
  return words;
};

/** 103, three-phase inverter, of which one phase is used; power on this side is net of what the wall gives. */
const inverter = (words: Words, s: Shown): Words =>
  words
    .uint16(s.acW / AC_V, -2)
    .uint16(s.acW / AC_V, -2)
    .none(2)
    .scale(-2)
    .none(3)
    .uint16(s.acOn ? AC_V : 0, -1)
    .none(2)
    .scale(-1)
    .int16(s.acW - s.wallW, -1)
    .scale(-1)
    .uint16(s.acOn ? AC_HZ : 0, -2)
    .scale(-2)
    .none(6, 'int16')
    .acc32(s.acOutputWh, -2)
    .scale(-2)
    .none(1)
    .none(1, 'int16')
    .none(1)
    .none(1, 'int16')
    .int16(s.acW - s.wallW, -1)
    .scale(-1)
    .none(5, 'int16')
    .uint16(s.acOn ? 4 : 1)
    .none(1)
    .bits32()
    .bits32()
    .bits32()
    .bits32()
    .bits32()
    .bits32();

/** 160, trackers: one. */
const trackers = (words: Words, s: Shown): Words =>
  words
    .scale(-2)
    .scale(-2)
    .scale(-1)
    .scale(-2)
    .bits32()
    .uint16(1)
    .none(1)
    .uint16(1)
    .text('Solar', 8)
    .uint16(s.solarA, -2)
    .uint16(s.solarV, -2)
    .uint16(s.solarW, -1)
    .acc32(s.solarWh, -2)
    .uint32()
    .none(1, 'int16')
    .uint16(4)
    .bits32();

/** 802, battery. `positive`: which way it counts. */
const battery = (words: Words, s: Shown, positive: 'charging' | 'discharging'): Words => {
  const amps = positive === 'charging' ? s.batteryA : -s.batteryA;
  return words
    .uint16((s.ratedWh / 51.2) * 1, -1)
    .uint16(s.ratedWh)
    .none(3)
    .uint16(100, -1)
    .uint16(0, -1)
    .none(2)
    .uint16(s.chargePct, -1)
    .none(1)
    .uint16(HEALTH_PCT, -1)
    .uint32()
    .uint16(chargeState(s))
    .uint16(1)
    .uint16(s.heartbeat % 1000)
    .none(1)
    .uint16(0)
    .uint16(4)
    .uint16(3)
    .none(1)
    .uint32()
    .bits32()
    .bits32()
    .bits32()
    .bits32()
    .uint16(s.batteryV, -2)
    .none(9)
    .int16(amps, -2)
    .none(2)
    .int16(amps * s.batteryV, -1)
    .none(1)
    .none(1, 'int16')
    .none(2)
    .scale(-1)
    .scale(0)
    .none(2, 'int16')
    .scale(-1)
    .none(1, 'int16')
    .scale(-1)
    .scale(-2)
    .none(1, 'int16')
    .scale(-2)
    .none(1, 'int16')
    .scale(-1);
};

const END_MODEL = 0xffff;

/** All registers of the device from its mark on. */
export function sunspecWords(make: Make, unit: number, s: Shown): Uint16Array {
  const words = new Words().text('SunS', 2).model(1, w => common(w, make, unit));
  if (make === '701') {
    words.model(701, w => acMeasurement(w, s));
    words.model(713, w => storageCapacity(w, s));
    words.model(714, w => dcMeasurement(w, s));
    words.model(802, w => battery(w, s, 'discharging'));
  } else {
    words.model(103, w => inverter(w, s));
    words.model(160, w => trackers(w, s));
    words.model(802, w => battery(w, s, 'charging'));
  }
  return words.uint16(END_MODEL).uint16(0).taken();
}
