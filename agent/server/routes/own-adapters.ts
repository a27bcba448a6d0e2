/** Adapters that the owner wrote: what each is and needs, and the owner's word that it may run. */
import { DoneAnswer, OwnAdapterApproval, OwnAdaptersAnswer } from '#messages';
import type { ServerActions } from '../deps.ts';
import { json, type Route } from '../router.ts';

export function ownAdapterRoutes(actions: Pick<ServerActions, 'ownAdapters' | 'approveAdapter'>): Route[] {
  return [
    {
      method: 'GET',
      path: '/api/own-adapters',
      summary: "Adapters in the owner's folder, what each may send, and how well they are contained",
      query: {},
      takes: null,
      gives: OwnAdaptersAnswer,
      answer: () => json(actions.ownAdapters()),
    },
    {
      method: 'POST',
      path: '/api/own-adapters/approve',
      summary: 'Lets an adapter run, as long as its file stays exactly the one that was shown',
      hereOnly: true,
      query: {},
      takes: OwnAdapterApproval,
      gives: DoneAnswer,
      async answer({ body }) {
        await actions.approveAdapter(body as OwnAdapterApproval);
        return json({ done: true });
      },
    },
  ];
}
