/** The agent that runs on a data folder, as a verb speaks to it: over loopback, with the secret of its run. */
import * as v from 'valibot';
import { ERROR_CODES, type ErrorCode, WattkeepError } from '#kit';
import { ErrorAnswer } from '#messages';
import { readDoor } from '../sharing/index.ts';
import { NOT_AGENT_FIX, notAgent } from './sharing-words.ts';

export interface AgentClient {
  ask<S extends v.GenericSchema>(schema: S, path: string): Promise<v.InferOutput<S>>;
  tell<S extends v.GenericSchema>(schema: S, path: string, body: object): Promise<v.InferOutput<S>>;
  /** The same with PUT. */
  put<S extends v.GenericSchema>(schema: S, path: string, body: object): Promise<v.InferOutput<S>>;
  /** What is no JSON. */
  text(path: string): Promise<string>;
}

/** @throws WattkeepError AGENT_AWAY where none runs on the folder */
export function agentOn(dataDir: string): AgentClient {
  const away = (cause?: unknown) =>
    new WattkeepError('AGENT_AWAY', notAgent(dataDir), NOT_AGENT_FIX, cause === undefined ? {} : { cause });
  const door = readDoor(dataDir);
  if (door === null) throw away();
  async function reach(path: string, init: RequestInit): Promise<Response> {
    const headers = { authorization: `Bearer ${door!.token}`, 'content-type': 'application/json', 'x-wattkeep': '1' };
    try {
      return await fetch(new URL(path, door!.url), { ...init, headers, redirect: 'error' });
    } catch (cause) {
      // fetch tells every failure of the connection as a TypeError.
      if (cause instanceof TypeError) throw away(cause);
      throw cause;
    }
  }
  async function send<S extends v.GenericSchema>(
    schema: S,
    path: string,
    init: RequestInit,
  ): Promise<v.InferOutput<S>> {
    const answer = await reach(path, init);
    const body: unknown = await answer.json().catch(() => null);
    if (!answer.ok) throw errorOf(body) ?? away();
    const read = v.safeParse(schema, body);
    if (!read.success) throw away();
    return read.output;
  }
  return {
    ask: (schema, path) => send(schema, path, {}),
    tell: (schema, path, body) => send(schema, path, { method: 'POST', body: JSON.stringify(body) }),
    put: (schema, path, body) => send(schema, path, { method: 'PUT', body: JSON.stringify(body) }),
    async text(path) {
      const answer = await reach(path, {});
      if (answer.ok) return answer.text();
      throw errorOf(await answer.json().catch(() => null)) ?? away();
    },
  };
}

function errorOf(body: unknown): WattkeepError | null {
  const read = v.safeParse(ErrorAnswer, body);
  if (!read.success) return null;
  const { code, message, fix } = read.output.error;
  const known = ERROR_CODES.find((one): one is ErrorCode => one === code);
  // Another agent that took the port knows nothing of the secret of this one's run.
  return known === undefined || known === 'SESSION_NEEDED' ? null : new WattkeepError(known, message, fix);
}
