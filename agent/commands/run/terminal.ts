/** What the agent's own terminal tells of sharing, and the question it asks there when a phone waits. */
import { chooseNetwork, type Network, type Sharing } from '../../sharing/index.ts';
import { askAllow } from '../ask-allow.ts';
import { type Asker, hasTerminal, openAsker } from '../ask-line.ts';
import * as words from '../sharing-words.ts';
import { networksNow } from './lan.ts';
import type { Shared } from './shared.ts';

/**
 * The network that `--lan` means: asked for at the terminal where there are several.
 *
 * @param asked an interface, '' for the only one there is
 * @throws WattkeepError USAGE where it cannot be known; where there is no network at all it is looked for later
 */
export async function settleLan(asked: string | undefined): Promise<string | undefined> {
  if (asked === undefined) return undefined;
  const networks = networksNow();
  if (networks.length === 0) return asked;
  if (asked !== '' || networks.length === 1 || !hasTerminal())
    return chooseNetwork(networks, asked === '' ? null : asked).name;
  return askNetwork(networks);
}

async function askNetwork(networks: readonly Network[]): Promise<string> {
  const asker = openAsker();
  try {
    asker.say(words.SEVERAL_NETWORKS);
    networks.forEach(({ name, address }, i) => {
      asker.say(words.networkChoice(i + 1, name, address));
    });
    const line = (await asker.ask(words.WHICH_NETWORK))?.trim() ?? '';
    return networks[Number(line) - 1]?.name ?? chooseNetwork(networks, line === '' ? null : line).name;
  } finally {
    asker.close();
  }
}

/**
 * Asks about each phone that waits, one after the other, where somebody sits at the agent's terminal then. It is read
 * only while a question stands. Answers how to stop.
 */
export function askAtTerminal({ sharing, door }: Shared): () => void {
  let asker: Asker | null = null;
  let turn: Promise<void> = Promise.resolve();
  const waits = (id: string) => sharing.waiting().some(one => one.id === id);
  async function ask({ id, name, address, words: twoWords }: ReturnType<Sharing['waiting']>[number]): Promise<void> {
    if (!waits(id) || !hasTerminal()) return;
    asker = openAsker();
    const scope = await askAllow(asker, { name, address, words: twoWords });
    if (scope !== undefined) {
      // The page or another terminal may have been quicker.
      const stillWaits = waits(id);
      if (stillWaits) door.decide(id, scope);
      const told = scope === null ? words.refused(name) : words.allowed(name, scope);
      asker.say(stillWaits ? told : words.answeredElsewhere);
    }
    asker.close();
    asker = null;
  }
  sharing.onWaiting(who => {
    turn = turn.then(() => ask(who));
  });
  return () => asker?.close();
}
