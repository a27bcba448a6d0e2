/**
 * The questions about settings, apart from the rest of the API: their schema is large and only Setup and Wiring, whose
 * code comes when asked for, need it.
 */
import { AdaptersAnswer, SerialPortsAnswer, Settings, StationSettings } from '#messages';
import { type AgentApi, type Answer, change } from './api.ts';

export interface TaggedSettings {
  settings: Settings;
  /** The file's revision (ETag), or null where the agent gave none. */
  revision: string | null;
}

async function askTagged(api: AgentApi, init?: RequestInit): Promise<Answer<TaggedSettings>> {
  const { etag, ...answer } = await api.ask(Settings, '/api/settings', init);
  return answer.ok ? { ok: true, value: { settings: answer.value, revision: etag ?? null } } : answer;
}

export const settingsApi = (api: AgentApi) => ({
  settings: () => askTagged(api),
  /** `revision` as the settings were read: the agent refuses where the file changed since. */
  save: (settings: Settings, revision: string | null) => askTagged(api, change('PUT', settings, revision)),
  /** What one station was told of itself, the simulated one too. */
  ofStation: (station: string) => api.ask(StationSettings, `/api/stations/${encodeURIComponent(station)}/settings`),
  serialPorts: () => api.ask(SerialPortsAnswer, '/api/serial-ports'),
  adapters: () => api.ask(AdaptersAnswer, '/api/adapters'),
});
