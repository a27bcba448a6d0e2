/** More: the views that the menu of a phone has no room for. */
import { css, html, LitElement } from 'lit';
import { shared } from '../../styles/shared.ts';
import * as words from '../../words/more.ts';

export class MoreView extends LitElement {
  static override styles = [
    shared,
    css`
      ul { margin: 16px 0 0; padding: 0; list-style: none; max-width: 60ch; }
      a { display: block; min-height: 64px; padding: 10px 0; border-bottom: var(--hair-width) solid var(--hair); text-decoration: none; }
      b { display: block; font-size: 21px; font-weight: var(--strong-weight); }
      span { color: var(--soft); }
    `,
  ];

  protected override render() {
    return html`<h1>${words.MORE}</h1>
      <ul>${words.BEHIND.map(([address, name, asks]) => html`<li><a href=${address}><b>${name}</b><span>${asks}</span></a></li>`)}</ul>`;
  }
}

customElements.define('more-view', MoreView);
