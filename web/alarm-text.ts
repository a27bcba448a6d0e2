/** An alarm as a sentence, in the owner's formats: by figures where it has some. */
import type { WireAlarm } from '#messages';
import { asText, formatsFor, spanText, timesFor } from './format.ts';
import type { App } from './state/app.ts';
import { shownTemperature, unitSign } from './temperature.ts';
import * as words from './words/alarms.ts';
import { the } from './words/load-name.ts';

const MINUTE_MS = 60_000;

export const alarmTimes = (alarm: WireAlarm, app: App) => {
  const live = app.live.value;
  const station = live.stations.find(s => s.station.id === alarm.station)?.station;
  return timesFor(app.locale, station?.zone ?? app.zone, live.display.clock);
};

export function alarmText(alarm: WireAlarm, app: App): string {
  const { display, stations } = app.live.value;
  const name = stations.find(s => s.station.id === alarm.station)?.station.name ?? alarm.station;
  const formats = formatsFor(app.locale, display.temperature);
  const times = alarmTimes(alarm, app);
  const number = (key: string) => Number(alarm.values[key]);
  const instant = (key: string) => Date.parse(String(alarm.values[key]));
  const raisedAt = Date.parse(alarm.raisedAt);
  if (name === null) return words.plain(null, alarm.cause);
  switch (alarm.kind) {
    case 'ending': {
      const at = times.time(instant('atLeastAt'));
      const leftMin = Math.max(1, Math.floor((instant('atLeastAt') - raisedAt) / MINUTE_MS));
      const floor = asText(formats.percent(number('floorPct')));
      if (alarm.values.by === 'label') return words.endingByLabel(name, floor, at);
      return words.ending(name, times.time(raisedAt), spanText(leftMin * MINUTE_MS), floor, at);
    }
    case 'quiet': {
      const called = alarm.values.name;
      const load = typeof called === 'string' ? the(called) : words.whatDrew(asText(formats.power(number('powerW'))));
      return words.quiet(name, load, times.moment(instant('sinceAt'), raisedAt));
    }
    case 'silent':
      if (alarm.values.lastAt === null || alarm.values.powerW === null) return words.plain(name, alarm.cause);
      return words.silent(name, asText(formats.power(number('powerW'))), times.moment(instant('lastAt'), raisedAt));
    case 'overVolts':
      return words.overVolts(name, volts(number('volts'), formats), portOf(alarm), volts(number('limitV'), formats));
    case 'cold': {
      const unit = display.temperature;
      return words.cold(name, `${formats.number(shownTemperature(number('tempC'), unit), 1)} ${unitSign(unit)}`);
    }
    case 'fault':
      return words.fault(name, String(alarm.values.fault));
    default:
      return words.plain(name, alarm.cause);
  }
}

/** One of several is named. */
const portOf = ({ values: { port, portName, ports } }: WireAlarm): string =>
  port === null || Number(ports ?? 1) < 2
    ? words.INPUT
    : words.port(Number(port), typeof portName === 'string' ? portName : null);
const volts = (value: number, formats: ReturnType<typeof formatsFor>) => `${formats.number(value, 1)} V`;
