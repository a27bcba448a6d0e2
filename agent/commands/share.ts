/** `wattkeep share`: the home network on or off, told to the running agent. */
import { SharingAnswer } from '#messages';
import { parseArguments } from '../settings/index.ts';
import { agentOn } from './agent-client.ts';
import type { Invocation } from './invocation.ts';
import { usage } from './numbers.ts';
import { dataDirOf } from './open-past.ts';
import { SHARE_HELP, shareTold } from './sharing-words.ts';

export async function share({ argv }: Invocation): Promise<number> {
  const { values, switches, words } = parseArguments(argv, {
    values: ['data', 'interface'],
    switches: ['json', 'help'],
  });
  if (switches.has('help')) {
    process.stdout.write(SHARE_HELP);
    return 0;
  }
  const [word, ...others] = words;
  const name = values.get('interface')?.[0];
  if (others.length > 0 || (word !== undefined && word !== 'on' && word !== 'off'))
    throw usage('share takes on or off, or nothing.', 'wattkeep share --help shows how.');
  if (name !== undefined && word !== 'on') throw usage('--interface belongs to share on.', 'Write share on.');
  const agent = agentOn(dataDirOf(values.get('data')?.[0]));
  const choice = { on: word === 'on', ...(name === undefined ? {} : { interface: name }) };
  const told =
    word === undefined
      ? await agent.ask(SharingAnswer, '/api/sharing')
      : await agent.tell(SharingAnswer, '/api/sharing', choice);
  const { on, fixed, interface: chosen, addresses, trouble, networks } = told;
  process.stdout.write(
    switches.has('json')
      ? `${JSON.stringify({ on, fixed, interface: chosen, addresses, trouble, networks })}\n`
      : shareTold(told),
  );
  return 0;
}
