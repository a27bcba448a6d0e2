/** What a page of one day asks of the agent, and what the owner tells it. */
import {
  DoneAnswer,
  type FactChange,
  FactChanged,
  FactsAnswer,
  LedgerAnswer,
  LedgerDayAnswer,
  type NoteChange,
  type SpanChange,
} from '#messages';
import { type AgentApi, change, type Refusal } from '../../state/api.ts';

export const dayApi = (api: AgentApi, station: string) => {
  const at = (what: string) => `/api/stations/${encodeURIComponent(station)}/${what}`;
  return {
    day: (date: string) => api.ask(LedgerDayAnswer, at(`day?date=${date}`)),
    /** @param from first civil date @param to last one, included */
    ledger: (from: string, to: string) => api.ask(LedgerAnswer, at(`ledger?from=${from}&to=${to}`)),
    note: (what: NoteChange) => api.ask(DoneAnswer, at('notes'), change('POST', what)),
    span: (what: SpanChange) => api.ask(DoneAnswer, at('spans'), change('POST', what)),
    facts: () => api.ask(FactsAnswer, at('facts')),
    moveFact: (what: FactChange) => api.ask(FactChanged, at('facts'), change('POST', what)),
  };
};

/** What was refused, in one line: what happened and what to do. */
export const refusedText = ({ message, fix }: Pick<Refusal, 'message' | 'fix'>): string => `${message} ${fix}`.trim();
