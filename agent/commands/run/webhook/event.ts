/** Alarms as CloudEvents 1.0 in structured mode (JSON format). One event a call; its id is the same in every try. Pure. */
import type { WireAlarm } from '#messages';

/** `application/cloudevents+json`, CloudEvents HTTP binding 1.0.2, 3.2. */
export const EVENT_TYPE = 'application/cloudevents+json; charset=utf-8';

export interface AlarmEvent {
  readonly id: string;
  readonly body: string;
}

/** @param at UTC epoch ms */
export function alarmEvent(
  what: 'raised' | 'cleared',
  alarms: readonly WireAlarm[],
  id: string,
  at: number,
): AlarmEvent {
  const [first] = alarms;
  const station = alarms.every(alarm => alarm.station === first?.station) ? (first?.station ?? null) : null;
  const event = {
    specversion: '1.0',
    id,
    source: '/wattkeep/alarms',
    type: `wattkeep.alarm.${what}`,
    time: new Date(at).toISOString(),
    ...(station === null ? {} : { subject: station }),
    datacontenttype: 'application/json',
    data: { alarms },
  };
  return { id, body: JSON.stringify(event) };
}
