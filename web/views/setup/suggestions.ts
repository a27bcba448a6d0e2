/** What fields offer while one types: what is plugged in, adapters that are installed, time zones, currencies. */
import { html, type TemplateResult } from 'lit';
import type { AgentApi } from '../../state/api.ts';
import { settingsApi } from '../../state/settings-api.ts';
import { CHOICES } from '../../words/setup.ts';

export interface Suggestions {
  ports: { path: string; label: string }[];
  adapters: { id: string; title: string; transports: string[] }[];
}

export const NO_SUGGESTIONS: Suggestions = { ports: [], adapters: [] };

/** Nothing is offered where the agent does not answer: the fields take any text. */
export async function loadSuggestions(api: AgentApi): Promise<Suggestions> {
  const [ports, adapters] = await Promise.all([settingsApi(api).serialPorts(), settingsApi(api).adapters()]);
  return { ports: ports.ok ? ports.value.ports : [], adapters: adapters.ok ? adapters.value.adapters : [] };
}

/** What an adapter speaks over, in the words of the choice beside it. */
const roadName = (kind: string): string =>
  Object.hasOwn(CHOICES, kind) ? CHOICES[kind as keyof typeof CHOICES] : kind;

export const suggestionLists = ({ ports, adapters }: Suggestions): TemplateResult =>
  html`<datalist id="ports">${ports.map(p => html`<option value=${p.path}>${p.label}</option>`)}</datalist>
    <datalist id="adapters">${adapters.map(a => html`<option value=${a.id}>${a.title} (${a.transports.map(roadName).join(', ')})</option>`)}</datalist>
    <datalist id="zones">${Intl.supportedValuesOf('timeZone').map(zone => html`<option value=${zone}></option>`)}</datalist>
    <datalist id="currencies">${Intl.supportedValuesOf('currency').map(code => html`<option value=${code}></option>`)}</datalist>`;
