/**
 * Says in words, on every view, that a change was turned away and how to be allowed it. Whatever asked for it may show
 * the refusal too; this is the one place that always does.
 */

import * as v from 'valibot';
import { ErrorAnswer } from '#messages';
import { PUT_AWAY } from './words/pairing.ts';

const CODES = ['SESSION_NEEDED', 'SCOPE_NEEDED'];

/** @param answer a refusal; one that is about something else is left to whoever asked */
export async function tellTurnedAway(answer: Response): Promise<void> {
  const heard = v.safeParse(ErrorAnswer, await answer.json().catch(() => null));
  if (!heard.success || !CODES.includes(heard.output.error.code)) return;
  const { message, fix } = heard.output.error;
  const line = document.getElementById('turned-away') ?? begin();
  line.replaceChildren(`${message} ${fix} `, putAway(line));
  line.scrollIntoView({ block: 'nearest' });
}

function begin(): HTMLElement {
  const line = document.createElement('p');
  line.id = 'turned-away';
  line.className = 'notice';
  line.setAttribute('role', 'alert');
  document.getElementById('notice')!.after(line);
  return line;
}

function putAway(line: HTMLElement): HTMLElement {
  const button = document.createElement('button');
  button.type = 'button';
  button.textContent = PUT_AWAY;
  button.addEventListener('click', () => line.remove());
  return button;
}
