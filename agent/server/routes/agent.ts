/** The agent itself: health, settings, what can be plugged in, and the description of this interface. */
import { AdaptersAnswer, SerialPortsAnswer, Settings, WireHealth } from '#messages';
import type { ServerActions, ServerDeps, SettingsState } from '../deps.ts';
import type { Caller } from '../gate.ts';
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
      answer: async ({ caller }) => settingsAnswer(await settings.get(), caller),
    },
    {
      method: 'PUT',
      path: '/api/settings',
      summary: 'Replaces the settings; with If-Match only where the file is still at that revision',
      query: {},
      takes: Settings,
      gives: Settings,
      async answer({ body, ifMatch, caller }) {
        const { alarm, ...others } = body as Settings;
        // Over a network nobody chooses what this machine sends to, whatever the session may.
        const asked = caller.way === 'network' || alarm === undefined ? others : { ...others, alarm };
        if (caller.way === 'network') refuseBeyondNetwork((await settings.get()).settings, asked);
        return settingsAnswer(await settings.put(asked, ifMatch), caller);
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

/** An address to send to often holds a key: told to who may change it on this machine, to nobody else. */
function settingsAnswer({ settings, revision }: SettingsState, caller: Caller) {
  const { alarm: _, ...others } = settings;
  const whole = caller.way === 'loopback' && caller.scope === 'change';
  return json(whole ? settings : others, { ETag: `"${revision}"` });
}
