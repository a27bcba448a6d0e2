/** What Aim asks of the agent beside the live line: spots and pointing; marks and spots changed. */
import { AimAnswer, DoneAnswer, MarkAnswer, type MarkChange, type MarkChoice, type SpotChange } from '#messages';
import { type AgentApi, change } from '../../state/api.ts';

export const aimApi = (api: AgentApi, station: string) => {
  const at = (what: string) => `/api/stations/${encodeURIComponent(station)}/${what}`;
  return {
    answer: () => api.ask(AimAnswer, at('aim')),
    mark: (choice: MarkChoice) => api.ask(MarkAnswer, at('marks'), change('POST', choice)),
    changeMark: (what: MarkChange) => api.ask(DoneAnswer, at('marks'), change('PUT', what)),
    changeSpot: (what: SpotChange) => api.ask(DoneAnswer, at('spots'), change('POST', what)),
  };
};

/** What was refused, in one line: what happened and what to do. */
export const refusedText = ({ message, fix }: { message: string; fix: string }): string => `${message} ${fix}`.trim();
