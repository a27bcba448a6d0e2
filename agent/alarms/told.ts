/** Alarms as they travel to pages and to a webhook's receiver. Pure. */
import type { WireAlarm } from '#messages';
import { ALARMS } from './kinds.ts';
import { type Slot, stateOf } from './slot.ts';

const instantOrNull = (at: number | null): string | null => (at === null ? null : new Date(at).toISOString());

export function toldAlarm(slot: Readonly<Slot>): WireAlarm {
  const { words, priority } = ALARMS[slot.kind];
  return {
    id: slot.id!,
    kind: slot.kind,
    station: slot.station,
    state: stateOf(slot),
    priority,
    call: slot.call,
    raisedAt: new Date(slot.raisedAt).toISOString(),
    clearedAt: slot.stands ? null : instantOrNull(slot.clearedAt),
    shelvedUntilAt: instantOrNull(slot.shelvedUntilAt),
    values: slot.values,
    ...words,
  };
}
