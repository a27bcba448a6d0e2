/** The agent itself: health, settings, what can be plugged in, and the description of this interface. */
import { AdaptersAnswer, SerialPortsAnswer, Settings, WireHealth } from '#messages';
import type { ServerActions, ServerDeps, SettingsState } from '../deps.ts';
import { refuseBeyondNetwork } from '../programs.ts';
import { json, type Route } from '../router.ts';

export function agentRoutes(
  health: ServerDeps['health'],
  settings: ServerDeps['settings'],
  actions: Pick<ServerActions, 'serialPorts' | 'adapters'>,
): Route[] {
  return [
    {
      method: 'GET',
      path: '/api/health',
      summary: 'Whether readings are being saved, and what was refused',
      query: {},
      takes: null,
      gives: WireHealth,
      answer: () => json(health()),
    },
    {
      method: 'GET',
      path: '/api/settings',
      summary: 'The settings file; its revision is in ETag',
      query: {},
      takes: null,
      gives: Settings,
      answer: async () => settingsAnswer(await settings.get()),
    },
    {
      method: 'PUT',
      path: '/api/settings',
      summary: 'Replaces the settings; with If-Match only where the file is still at that revision',
      query: {},
      takes: Settings,
      gives: Settings,
      async answer({ body, ifMatch, caller }) {
        if (caller.way === 'network') refuseBeyondNetwork((await settings.get()).settings, body as Settings);
        return settingsAnswer(await settings.put(body as Settings, ifMatch));
      },
    },
    {
      method: 'GET',
      path: '/api/serial-ports',
      summary: 'Serial ports that are plugged in now',
      query: {},
      takes: null,
      gives: SerialPortsAnswer,
      answer: async () => json({ ports: await actions.serialPorts() }),
    },
    {
      method: 'GET',
      path: '/api/adapters',
      summary: 'Adapters that are installed',
      query: {},
      takes: null,
      gives: AdaptersAnswer,
      answer: () => json({ adapters: actions.adapters() }),
    },
  ];
}

const settingsAnswer = ({ settings, revision }: SettingsState) => json(settings, { ETag: `"${revision}"` });
