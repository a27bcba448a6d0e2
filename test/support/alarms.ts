/** Alarms of the honey shed as a page is told of them. */
import type { WireAlarm } from '#messages';
import { ALARMS } from '../../agent/alarms/kinds.ts';
import { EVENING_AT } from './honey-shed.ts';

const iso = (ms: number) => new Date(ms).toISOString();

/** Nineteen minutes are promised, and a little. */
export function shedAlarm(change: Partial<WireAlarm> = {}): WireAlarm {
  const { words, priority } = ALARMS[change.kind ?? 'ending'];
  return {
    id: 'a1',
    kind: 'ending',
    station: 'shed',
    state: 'active',
    priority,
    call: 1,
    raisedAt: iso(EVENING_AT + 1000),
    clearedAt: null,
    shelvedUntilAt: null,
    values: { floorPct: 10, atLeastAt: iso(EVENING_AT + 20 * 60_000) },
    ...words,
    ...change,
  };
}
