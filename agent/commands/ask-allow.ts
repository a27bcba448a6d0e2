/** Asks at the terminal whether one who waits is let in, and how far. To look needs one key; to change needs the word twice. */
import type { Scope } from '#messages';
import type { Asker } from './ask-line.ts';
import { ASK_ALLOW, ASK_CHANGE, asks, NOT_UNDERSTOOD } from './sharing-words.ts';

export interface AskedFor {
  readonly name: string;
  readonly address: string;
  readonly words: string;
}

/** The owner's word, null for no; undefined where nobody answered. */
export async function askAllow(asker: Asker, who: AskedFor): Promise<Scope | null | undefined> {
  asker.say(asks(who.name, who.address, who.words));
  for (;;) {
    const line = (await asker.ask(ASK_ALLOW))?.trim().toLowerCase();
    if (line === undefined) return undefined;
    if (line === '' || line === 'l' || line === 'look') return 'view';
    if (line === 'm' || line === 'mark') return 'mark';
    if (line === 'n' || line === 'no') return null;
    if (line !== 'change') {
      asker.say(NOT_UNDERSTOOD);
      continue;
    }
    const again = (await asker.ask(ASK_CHANGE))?.trim().toLowerCase();
    if (again === undefined) return undefined;
    return again === 'change' ? 'change' : 'view';
  }
}
