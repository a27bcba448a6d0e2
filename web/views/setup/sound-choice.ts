/** Tones with alarms, for as long as this page is open. */
import { html } from 'lit';
import { allowSound, silenceSound, soundIsOn } from '../../alarm-sound.ts';
import * as words from '../../words/alarms.ts';

export const soundChoice = () => html`<p><button type="button" aria-pressed=${soundIsOn.value ? 'true' : 'false'}
    @click=${() => (soundIsOn.value ? silenceSound() : allowSound())}>${words.SOUND_ON}</button></p>
  <p class="ask">${words.SOUND_WHY}</p>`;
