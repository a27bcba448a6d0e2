/** The outage that is over: a sentence and its figures, until the owner puts it away. */
import { html, nothing } from 'lit';
import { outageTold } from '../../outage-told.ts';
import * as words from '../../words/outages.ts';
import type { Situation } from './situation.ts';

export function outageSummary({ outage, formats, times, nowAt }: Situation, putAway: () => void) {
  if (outage === null || outage.endedAt === null || nowAt === null) return nothing;
  const { headline, lines } = outageTold(outage, formats, times, nowAt);
  return html`<section class="over" aria-label=${words.OVER}>
    <p><b>${headline}</b> ${lines.join(' ')}</p>
    <button type="button" class="word" @click=${putAway}>${words.DISMISS}</button>
  </section>`;
}
