/** `wattkeep token`: tokens for scripts, and the list of all who may come in. */
import { DoneAnswer, SCOPES, type Scope, SharingAnswer, TokenAnswer } from '#messages';
import { parseArguments } from '../settings/index.ts';
import { type AgentClient, agentOn } from './agent-client.ts';
import type { Invocation } from './invocation.ts';
import { usage } from './numbers.ts';
import { dataDirOf } from './open-past.ts';
import { NO_SESSIONS, revoked, sessionLine, TOKEN_HELP, tokenMade } from './sharing-words.ts';

interface Asked {
  agent: AgentClient;
  json: boolean;
  option(name: string): string | undefined;
  /** After the verb's own word. */
  words: readonly string[];
}

export async function token({ argv }: Invocation): Promise<number> {
  const { values, switches, words } = parseArguments(argv, {
    values: ['data', 'name', 'scope'],
    switches: ['json', 'help'],
  });
  const [verb, ...others] = words;
  if (switches.has('help') || verb === undefined) {
    process.stdout.write(TOKEN_HELP);
    return switches.has('help') ? 0 : 2;
  }
  const act = Object.hasOwn(ACTS, verb) ? ACTS[verb] : undefined;
  if (act === undefined) throw usage(`token ${verb.slice(0, 40)} is not known.`, 'Known: create, list, revoke.');
  const asked = { json: switches.has('json'), option: (name: string) => values.get(name)?.[0], words: others };
  process.stdout.write(await act({ ...asked, agent: agentOn(dataDirOf(values.get('data')?.[0])) }));
  return 0;
}

/** @throws WattkeepError USAGE */
export function scopeFrom(text: string | undefined, otherwise: Scope | null): Scope {
  const scope = text === undefined ? otherwise : SCOPES.find(known => known === text);
  if (scope === undefined || scope === null)
    throw usage(
      text === undefined ? '--scope is missing.' : `--scope is ${text.slice(0, 40)}.`,
      `Give ${SCOPES.join(', ')}.`,
    );
  return scope;
}

const line = (value: unknown): string => `${JSON.stringify(value)}\n`;

const ACTS: Readonly<Record<string, (asked: Asked) => Promise<string>>> = {
  async create({ agent, json, option, words }) {
    const name = option('name');
    if (name === undefined || words.length > 0) throw usage('token create needs --name.', 'Say what it is for.');
    const scope = scopeFrom(option('scope'), 'view');
    const made = await agent.tell(TokenAnswer, '/api/sharing/tokens', { name, scope });
    return json ? line({ ...made, name, scope }) : tokenMade(made.id, made.token, name, scope);
  },
  async list({ agent, json }) {
    const { sessions } = await agent.ask(SharingAnswer, '/api/sharing');
    if (json) return line({ sessions });
    return sessions.length === 0 ? NO_SESSIONS : sessions.map(sessionLine).join('');
  },
  async revoke({ agent, json, words }) {
    const [id, ...others] = words;
    if (id === undefined || others.length > 0)
      throw usage('token revoke takes one id.', 'wattkeep token list shows them.');
    await agent.tell(DoneAnswer, '/api/sharing/revoke', { session: id });
    return json ? line({ revoked: id }) : revoked(id);
  },
};
