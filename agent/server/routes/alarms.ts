/** What calls the owner, and the owner's answer to it, which holds for everybody. */
import { AlarmChange, AlarmsAnswer, DoneAnswer } from '#messages';
import type { AlarmDoor } from '../deps.ts';
import { json, type Route } from '../router.ts';
import type { StationList } from './stations.ts';

export function alarmRoutes(stations: StationList, alarms: AlarmDoor): Route[] {
  const answer = { needs: 'mark', query: {}, takes: AlarmChange, gives: DoneAnswer } as const;
  return [
    {
      method: 'GET',
      path: '/api/alarms',
      summary: 'What calls the owner now, what is over and not acknowledged, and what is set aside',
      query: {},
      takes: null,
      gives: AlarmsAnswer,
      answer: () => json({ alarms: alarms.list() }),
    },
    {
      ...answer,
      method: 'POST',
      path: '/api/alarms',
      summary: 'Acknowledges an alarm, sets it aside for a while, or takes that back; for everybody',
      answer({ body }) {
        alarms.change(body as AlarmChange);
        return json({ done: true });
      },
    },
    {
      ...answer,
      method: 'POST',
      path: '/api/stations/{station}/alarms',
      summary: 'The same for an alarm of this station',
      answer({ station, body }) {
        stations.require(station);
        alarms.change(body as AlarmChange, station);
        return json({ done: true });
      },
    },
  ];
}
