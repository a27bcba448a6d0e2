/** The button that asks the browser where it is, and what came of it; only where a browser gives its position at all. */
import { html, type TemplateResult } from 'lit';
import * as words from '../../words/setup.ts';
import { askPosition, type Locator, type Position } from './position.ts';

export type PositionState = 'idle' | 'asking' | 'taken' | 'refused' | 'unknown';

export interface PositionButton {
  state: PositionState;
  /** Null where the browser gives none: an address without encryption that is not this machine. */
  locator: Locator | null;
  say(state: PositionState): void;
  take(position: Position): void;
}

export function positionButton(parts: PositionButton): TemplateResult {
  if (parts.locator === null) return html`<p class="ask">${words.POSITION_NOT_HERE}</p>`;
  const { locator } = parts;
  return html`<div class="position">
    <button type="button" ?disabled=${parts.state === 'asking'} @click=${() => void ask(locator, parts)}>${words.USE_POSITION}</button>
    <p class="ask">${words.POSITION_WHERE}</p>
    <p role="status" class=${parts.state === 'refused' || parts.state === 'unknown' ? 'wrong' : ''}>${told(parts.state)}</p>
  </div>`;
}

async function ask(locator: Locator, { say, take }: PositionButton): Promise<void> {
  say('asking');
  const answer = await askPosition(locator);
  if (answer.ok) take(answer.position);
  say(answer.ok ? 'taken' : answer.why);
}

function told(state: PositionState): string {
  if (state === 'refused' || state === 'unknown') return words.positionFailed(state);
  return state === 'asking' ? words.POSITION_WAIT : state === 'taken' ? words.POSITION_TAKEN : '';
}

/** The browser's geolocation, where this page may ask for it. */
export const locatorOfBrowser = (): Locator | null =>
  isSecureContext && navigator.geolocation !== undefined ? navigator.geolocation : null;
