/** The alarms as the agent tells them: what is shown as a line, what is set aside, and the owner's answer. */
import * as v from 'valibot';
import { type AlarmChange, DoneAnswer, WireAlarm } from '#messages';
import { type AgentApi, change } from './api.ts';

/** What does not fit its schema is of another version: the page says so elsewhere. */
export const readAlarms = (told: readonly unknown[]): WireAlarm[] =>
  told.flatMap(one => {
    const read = v.safeParse(WireAlarm, one);
    return read.success ? [read.output] : [];
  });

export interface Lines {
  /** Not acknowledged, by what was called out together, oldest first. */
  calls: { call: number; alarms: WireAlarm[] }[];
  /** Acknowledged ones that stand, and what is over and was not. */
  rest: WireAlarm[];
  shelved: WireAlarm[];
}

export function linesOf(alarms: readonly WireAlarm[]): Lines {
  const lines: Lines = { calls: [], rest: [], shelved: [] };
  for (const alarm of alarms) {
    if (alarm.shelvedUntilAt !== null) lines.shelved.push(alarm);
    else if (alarm.state !== 'active') lines.rest.push(alarm);
    else {
      const together = lines.calls.find(({ call }) => call === alarm.call);
      if (together === undefined) lines.calls.push({ call: alarm.call, alarms: [alarm] });
      else together.alarms.push(alarm);
    }
  }
  return lines;
}

export const answerAlarm = (api: AgentApi, what: AlarmChange) =>
  api.ask(DoneAnswer, '/api/alarms', change('POST', what));
