/** Styles of Setup's part for the home network. */
import { css } from 'lit';

export const sharingStyles = css`
  p { margin: 6px 0; }
  h3 { margin: 24px 0 4px; font-size: inherit; }
  .ask { color: var(--soft); font-size: 15px; line-height: 1.4; }
  .network { display: block; max-width: 480px; margin: 12px 0; }
  .invitation { margin: 16px 0; }
  .invitation:focus { outline: none; }
  .qr { display: block; width: min(280px, 100%); margin: 8px 0; background: var(--paper); fill: var(--ink); }
  .qr.night { background: var(--ink); fill: var(--paper); }
  .code { margin: 8px 0; font-size: 34px; line-height: 1.15; font-weight: var(--strong-weight); letter-spacing: 0.04em; }
  .waiting { margin: 16px 0; padding: 16px 0; border-block: 2px solid var(--ink); }
  fieldset { margin: 8px 0; padding: 0; border: 0; }
  legend { padding: 0; font-weight: var(--strong-weight); }
  fieldset label { display: flex; gap: 12px; padding: 10px 0; }
  fieldset input { flex: none; }
  fieldset .ask { display: block; }
  td, th { padding: 6px 12px 6px 0; text-align: left; overflow-wrap: anywhere; }
  thead { font-size: 15px; }
  tr { border-bottom: var(--hair-width) solid var(--hair); }
  @media (max-width: 719px) {
    thead { position: absolute; clip-path: inset(50%); height: 1px; overflow: hidden; }
    tbody tr { display: grid; grid-template-columns: 1fr auto; align-items: center; padding: 8px 0; }
    tbody td { grid-column: 1; padding: 0; font-size: 15px; color: var(--soft); }
    tbody td:last-child { grid-column: 2; grid-row: 1 / span 4; }
    tbody th { padding: 0; }
  }
`;
