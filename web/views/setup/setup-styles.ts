/** The form's own styles: a name and its reason beside the input, hairlines between groups. */
import { css } from 'lit';

export const setupStyles = css`
  form, section { max-width: 860px; }
  section { margin-top: 32px; padding-top: 8px; border-top: var(--hair-width) solid var(--hair); }
  h2 { margin: 8px 0 12px; }
  section:has(> details.group) { margin-top: 0; padding-top: 0; }
  section:has(> details.group):first-of-type, .remover + section { margin-top: 32px; }
  .group > summary { padding: 10px 0; min-height: 48px; }
  .group > summary h2 { display: inline; margin: 0 12px 0 4px; }
  .group[open] > summary { padding-bottom: 12px; }
  .group[open] { padding-bottom: 16px; }
  .told { color: var(--soft); }
  .group[open] > summary .told { display: none; }
  .within { margin: 4px 0 12px; }
  .within > summary { padding: 10px 0; }
  .remover { margin-top: 24px; }
  .position { padding: 4px 0 8px; }
  .position p:not(:empty) { margin: 6px 0 0; }
  .chooser { margin-top: 24px; }
  .chooser label { min-width: 0; }
  .chooser select { width: auto; min-width: 200px; max-width: 100%; }
  .field { display: grid; grid-template-columns: 240px 1fr; gap: 4px 24px; padding: 8px 0; }
  .field label { padding-top: 10px; }
  .field input:not([type="checkbox"]), .field select, textarea { max-width: 420px; }
  .field input[type="checkbox"] { margin-top: 12px; }
  .ask + fieldset { margin-top: 16px; }
  h3 { margin: 16px 0 0; font-size: 17px; font-weight: var(--strong-weight); }
  .ask + button { margin-top: 12px; }
  .hours .field:first-child { grid-column: 1 / -1; }
  .hours .field:first-child [role="group"] { display: flex; flex-wrap: wrap; gap: 0 20px; }
  .field .tick { display: flex; align-items: center; gap: 8px; min-height: 40px; padding: 0; }
  .field .tick input[type="checkbox"] { margin: 0; }
  textarea { width: 100%; padding: 8px 10px; border: 1.5px solid var(--ink); border-radius: 0; background: var(--paper); color: var(--ink); font: inherit; }
  .ask { margin: 4px 0 0; color: var(--soft); font-size: 15px; line-height: 1.4; }
  .field .wrong { margin: 6px 0 0; }
  fieldset { margin: 0 0 16px; padding: 0 0 12px; border: 0; border-bottom: var(--hair-width) solid var(--hair); }
  .entry { display: grid; grid-template-columns: repeat(auto-fill, minmax(200px, 1fr)); gap: 0 24px; margin-bottom: 8px; }
  .entry .field { display: block; }
  .entry .field label { display: block; padding: 0 0 4px; }
  legend { padding: 0; font-weight: var(--strong-weight); }
  .lights { display: flex; flex-wrap: wrap; gap: 8px 24px; }
  .lights label { display: flex; align-items: center; gap: 8px; min-height: 44px; }
  .save.dirty { position: sticky; bottom: 0; }
  .save { display: flex; align-items: center; margin-top: 24px; padding: 12px 0; background: var(--paper); border-top: var(--hair-width) solid var(--hair); }
  .save p { margin: 0; }
  .save p:not(:empty) { margin-left: 24px; }
  @media (max-width: 719px) {
    .field { grid-template-columns: 1fr; }
    .field label { padding-top: 0; }
    .save.dirty { bottom: calc(49px + env(safe-area-inset-bottom)); }
    .save button { flex: 1; }
  }
`;
