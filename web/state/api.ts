/**
 * The agent's HTTP API as the page uses it: every answer checked by its schema, every refusal a value with the words
 * to show. Nothing is thrown for what a network does.
 */

import * as v from 'valibot';
import { ErrorAnswer, type InputSourceChoice, OutagesAnswer, SeriesAnswer, type TypedValues } from '#messages';

export interface Refusal {
  code: string;
  message: string;
  fix: string;
  /** The value at fault, dotted (`station.0.ratedWh`); absent where there is none. */
  path?: string;
}

export type Answer<T> = { ok: true; value: T } | { ok: false; refusal: Refusal };
export type Fetch = (address: string, init?: RequestInit) => Promise<Response>;

const UNREACHABLE: Refusal = {
  code: 'UNREACHABLE',
  message: 'The agent did not answer.',
  fix: 'Check that wattkeep is running on its machine, then try again.',
};
const UNREADABLE: Refusal = {
  code: 'UNREADABLE',
  message: 'The agent answered in a form this page does not know.',
  fix: 'Reload the page; it may be older than the agent.',
};

/** What came back, or null where nothing did; a body that is not JSON is null. */
async function hear(fetch: Fetch, address: string, init?: RequestInit) {
  const response = await fetch(address, init).catch(() => null);
  if (response === null) return null;
  const body: unknown = await response.json().catch(() => null);
  return { ok: response.ok, etag: response.headers.get('etag'), body };
}

/** What a request that changes something carries, beside its body. */
export const change = (method: 'POST' | 'PUT', body: unknown, revision: string | null = null): RequestInit => ({
  method,
  headers: {
    'content-type': 'application/json',
    'x-wattkeep': '1',
    ...(revision === null ? {} : { 'if-match': revision }),
  },
  body: JSON.stringify(body),
});
const of = (station: string) => `/api/stations/${encodeURIComponent(station)}`;

export function agentApi(fetch: Fetch) {
  async function ask<S extends v.GenericSchema>(
    schema: S,
    address: string,
    init?: RequestInit,
  ): Promise<Answer<v.InferOutput<S>> & { etag?: string | null }> {
    const heard = await hear(fetch, address, init);
    if (heard === null) return { ok: false, refusal: UNREACHABLE };
    if (!heard.ok) {
      const refused = v.safeParse(ErrorAnswer, heard.body);
      return { ok: false, refusal: refused.success ? refusalOf(refused.output) : UNREADABLE };
    }
    const checked = v.safeParse(schema, heard.body);
    if (!checked.success) return { ok: false, refusal: UNREADABLE };
    return { ok: true, value: checked.output, etag: heard.etag };
  }

  const iso = (ms: number) => new Date(ms).toISOString();

  return {
    /** Any other question, for the views that bring its schema along. */
    ask,
    series: (station: string, quantities: readonly string[], fromMs: number, toMs: number, points: number) =>
      ask(
        SeriesAnswer,
        `${of(station)}/series?quantity=${quantities.map(encodeURIComponent).join(',')}&from=${iso(fromMs)}&to=${iso(toMs)}&points=${points}`,
      ),
    outages: (station: string, fromMs: number, toMs: number) =>
      ask(OutagesAnswer, `${of(station)}/outages?from=${iso(fromMs)}&to=${iso(toMs)}`),
    /** @param from,to civil dates, both included */
    daysCsvAddress: (station: string, from: string, to: string) => `${of(station)}/days.csv?from=${from}&to=${to}`,
    typeValues: (station: string, values: TypedValues) =>
      ask(v.unknown(), `${of(station)}/typed`, change('POST', values)),
    /** Tries a link at once; takes up a station that was let go. */
    retry: (station: string) => ask(v.unknown(), `${of(station)}/retry`, change('POST', {})),
    release: (station: string) => ask(v.unknown(), `${of(station)}/release`, change('POST', {})),
    putAway: (station: string) => ask(v.unknown(), `${of(station)}/put-away`, change('POST', {})),
    confirmUnits: (station: string) => ask(v.unknown(), `${of(station)}/units`, change('POST', {})),
    nameInputSource: (station: string, choice: InputSourceChoice) =>
      ask(v.unknown(), `${of(station)}/input-source`, change('POST', choice)),
  };
}

export type AgentApi = ReturnType<typeof agentApi>;

const refusalOf = ({ error }: ErrorAnswer): Refusal => ({
  code: error.code,
  message: error.message,
  fix: error.fix,
  ...(error.path === undefined ? {} : { path: error.path }),
});
