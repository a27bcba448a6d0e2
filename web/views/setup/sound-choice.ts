/** Tones with alarms, for as long as this page is open. */
import { html } from 'lit';
import { allowSound, canSound, silenceAlarms, soundIsOn } from '../../sound/alarm.ts';
import * as words from '../../words/alarms.ts';

export const soundChoice = () =>
  canSound()
    ? html`<p><button type="button" aria-pressed=${soundIsOn.value ? 'true' : 'false'}
    @click=${() => (soundIsOn.value ? silenceAlarms() : allowSound())}>${words.SOUND_ON}</button></p>
  <p class="ask">${words.SOUND_WHY}</p>`
    : html`<p>${words.NO_SOUND}</p>`;
