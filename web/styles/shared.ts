/** What every view's shadow shares: type, rules, tables, buttons, fields. Colours only through the tokens. */
import { css } from 'lit';

export const shared = css`
  :host { display: block; }
  *, *::before, *::after { box-sizing: border-box; }
  a { color: inherit; text-underline-offset: 3px; }
  :focus-visible { outline: 3px solid var(--ink); outline-offset: 3px; }
  [hidden] { display: none !important; }
  h1 { margin: 0; font-size: clamp(32px, 4.15vw, 53px); line-height: 1.08; font-weight: var(--strong-weight); letter-spacing: -0.02em; text-wrap: balance; }
  h2 { margin: 32px 0 8px; font-size: 19px; font-weight: var(--strong-weight); }
  .sure { margin: 4px 0 0; color: var(--soft); font-size: 22px; line-height: 31px; }
  .sure b { color: var(--ink); font-weight: var(--strong-weight); }
  .unseen { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); white-space: nowrap; }
  button { min-height: 44px; padding: 8px 18px; border: 1.5px solid var(--ink); border-radius: 0; background: none; color: var(--ink); font: inherit; cursor: pointer; }
  /* In the colours of a port: at night no large bright area. */
  button.main { min-height: 56px; padding: 8px 28px; background: var(--port); color: var(--on-port); font-weight: var(--strong-weight); }
  button.word { min-height: 0; padding: 0; border: 0; color: inherit; text-decoration: underline; text-underline-offset: 3px; }
  button:disabled { opacity: 0.6; cursor: default; }
  .row { display: flex; flex-wrap: wrap; align-items: center; gap: 12px; }
  table { width: 100%; border-collapse: collapse; }
  th { font-weight: var(--text-weight); color: var(--soft); text-align: right; }
  th[scope="row"], th:first-child { text-align: left; }
  td { text-align: right; }
  details summary { cursor: pointer; }
  input, select { width: 100%; min-height: 44px; padding: 6px 10px; border: 1.5px solid var(--ink); border-radius: 0; background: var(--paper); color: var(--ink); font: inherit; font-variant-numeric: inherit; }
  input[type="checkbox"], input[type="radio"] { width: 22px; min-height: 22px; height: 22px; accent-color: var(--ink); }
  .wrong { color: var(--ink); font-weight: var(--strong-weight); border-left: 4px solid var(--ink); padding-left: 10px; }
  @media (max-width: 719px) {
    h1 { font-size: 33px; line-height: 35px; text-wrap: wrap; }
    .sure { margin-top: 6px; font-size: 16.5px; line-height: 24px; }
  }
  @media (prefers-reduced-motion: reduce) {
    *, *::before, *::after { transition: none !important; animation: none !important; }
  }
`;
