/** `wattkeep pair`: lets one phone in, or one browser of this computer, through the running agent. */
import { setTimeout as pause } from 'node:timers/promises';
import { WattkeepError } from '#kit';
import { DoneAnswer, HereLinkAnswer, InvitationAnswer, SharingAnswer } from '#messages';
import { parseArguments } from '../settings/index.ts';
import { qrText } from '../sharing/index.ts';
import { type AgentClient, agentOn } from './agent-client.ts';
import { askAllow } from './ask-allow.ts';
import { hasTerminal, openAsker } from './ask-line.ts';
import type { Invocation } from './invocation.ts';
import { usage } from './numbers.ts';
import { dataDirOf } from './open-past.ts';
import * as words from './sharing-words.ts';
import { scopeFrom } from './token.ts';

/** How soon a phone that asks is told here, ms. */
const LOOK_EVERY_MS = 700;

type Waiting = SharingAnswer['waiting'][number];

export async function pair({ argv }: Invocation): Promise<number> {
  const parsed = parseArguments(argv, { values: ['data', 'scope'], switches: ['here', 'json', 'help'] });
  const { values, switches } = parsed;
  if (switches.has('help')) {
    process.stdout.write(words.PAIR_HELP);
    return 0;
  }
  const [verb, id, ...others] = parsed.words;
  const json = switches.has('json');
  const write = (value: unknown, text: string) => void process.stdout.write(json ? `${JSON.stringify(value)}\n` : text);
  const known = verb === undefined || ['waiting', 'allow', 'refuse', 'unlock'].includes(verb);
  const needsId = verb === 'allow' || verb === 'refuse';
  if (!known || others.length > 0 || needsId !== (id !== undefined))
    throw usage(`pair ${parsed.words.join(' ').slice(0, 40)} is not understood.`, 'wattkeep pair --help shows how.');
  const scope = verb === 'allow' ? scopeFrom(values.get('scope')?.[0], null) : null;
  const agent = agentOn(dataDirOf(values.get('data')?.[0]));
  if (switches.has('here')) {
    const answer = await agent.tell(HereLinkAnswer, '/api/sharing/here-link', {});
    write(answer, `${words.hereLink(answer.link)}\n`);
  } else if (verb === 'waiting') {
    const { waiting } = await agent.ask(SharingAnswer, '/api/sharing');
    const lines = waiting.map(one => words.waitingLine(one.id, one.name, one.address, one.words));
    write({ waiting }, lines.join('') || words.NOBODY_WAITS);
  } else if (needsId) {
    const who = (await agent.ask(SharingAnswer, '/api/sharing')).waiting.find(one => one.id === id);
    await agent.tell(DoneAnswer, '/api/sharing/decision', { request: id, scope });
    const name = who?.name ?? id!;
    write({ request: id, scope }, scope === null ? words.refused(name) : words.allowedSo(name, scope));
  } else if (verb === 'unlock') {
    await agent.tell(DoneAnswer, '/api/sharing/unlock', {});
    write({ unlocked: true }, words.UNLOCKED);
  } else await invite(agent, write, json);
  return 0;
}

async function invite(agent: AgentClient, write: (value: unknown, text: string) => void, json: boolean): Promise<void> {
  const before = await agent.ask(SharingAnswer, '/api/sharing');
  const invitation = await agent.tell(InvitationAnswer, '/api/sharing/invitation', {});
  write(invitation, words.invited(invitation, qrText(invitation.qr, process.stdout.isTTY === true)));
  if (json || !hasTerminal()) return;
  process.stderr.write(words.WAITING_FOR_PHONE);
  const known = new Set(before.waiting.map(({ id }) => id));
  const asker = openAsker();
  try {
    for (;;) {
      const { waiting, invitedUntil } = await agent.ask(SharingAnswer, '/api/sharing');
      const who = waiting.find(({ id }) => !known.has(id));
      if (who !== undefined) return await decide(agent, asker, who);
      if (invitedUntil === null) return asker.say(words.CODE_OVER);
      await pause(LOOK_EVERY_MS);
    }
  } finally {
    asker.close();
  }
}

async function decide(agent: AgentClient, asker: ReturnType<typeof openAsker>, who: Waiting): Promise<void> {
  const scope = await askAllow(asker, who);
  if (scope === undefined) return;
  try {
    await agent.tell(DoneAnswer, '/api/sharing/decision', { request: who.id, scope });
    asker.say(scope === null ? words.refused(who.name) : words.allowed(who.name, scope));
  } catch (error) {
    // The page or the agent's own terminal was quicker.
    if (!(error instanceof WattkeepError) || error.code !== 'REQUEST_INVALID') throw error;
    asker.say(words.answeredElsewhere);
  }
}
