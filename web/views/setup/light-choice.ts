/** Day, glare, night, or as the system wishes. Kept by this browser, not in the settings file. */
import { html } from 'lit';
import type { App } from '../../state/app.ts';
import { LIGHTS } from '../../state/light.ts';
import * as words from '../../words/setup.ts';

export function lightChoice(app: App) {
  const chosen = app.lightChosen() ?? 'system';
  return html`<div role="radiogroup" aria-label=${words.GROUPS.light} class="lights">${(
    ['system', ...LIGHTS] as const
  ).map(
    light => html`<label><input type="radio" name="light" value=${light} .checked=${light === chosen}
      @change=${() => app.changeLight(light)}> ${words.LIGHT_CHOICES[light]}</label>`,
  )}</div>
  <p class="ask">${words.LIGHT_KEY}</p>`;
}
