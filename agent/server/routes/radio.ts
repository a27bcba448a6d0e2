/** What Bluetooth hears, and which stations it lets go for a while. */
import { ScanAnswer, ScanRequest } from '#messages';
import type { ServerActions } from '../deps.ts';
import { json, type Route } from '../router.ts';

export function radioRoutes(actions: Pick<ServerActions, 'scan'>): Route[] {
  return [
    {
      method: 'POST',
      path: '/api/scan',
      summary: 'Listens for Bluetooth LE peripherals for some seconds',
      query: {},
      takes: ScanRequest,
      gives: ScanAnswer,
      answer: async ({ body }) => json(await actions.scan((body as ScanRequest).forS * 1000)),
    },
  ];
}
