/** The settings file as the server and the agent use it: read once, changed in one place, applied after it is saved. */
import { WattkeepError } from '#kit';
import type { PlanSettings, Settings, StationSettings } from '#messages';
import type { SettingsDoor, SettingsState } from '../../server/deps.ts';
import { saveSettings } from '../../settings/index.ts';

export interface Door extends SettingsDoor {
  get(): SettingsState;
  put(settings: Settings, revision: string | undefined): Promise<SettingsState>;
  /** The owner named the source of a station's input by one tap. */
  setInputSource(station: string, source: StationSettings['inputSource']): Promise<void>;
  /** The network it is shared on, undefined for none. */
  setLan(lan: string | undefined): Promise<void>;
  /** The owner named what is plugged in. */
  setLoads(station: string, load: StationSettings['load']): Promise<void>;
  /** What the owner wants to run. */
  setPlan(station: string, plan: PlanSettings): Promise<void>;
}

/**
 * Time zones in a change are looked up here.
 *
 * @param read the file as the caller read it
 * @param on `check` refuses what cannot be applied, before the file is touched; `apply` follows the saved file
 */
export function openDoor(
  path: string,
  read: SettingsState,
  on: { check(settings: Settings): void; apply(settings: Settings): Promise<void> },
): Door {
  let state = read;
  /** Two changes at once are taken one after the other. */
  let turn: Promise<unknown> = Promise.resolve();

  function put(asked: Settings, revision: string | undefined): Promise<SettingsState> {
    const mine = turn.then(async () => {
      const { alarm } = state.settings;
      const settings = asked.alarm !== undefined || alarm === undefined ? asked : { ...asked, alarm };
      on.check(settings);
      state = saveSettings(path, settings, revision);
      await on.apply(state.settings);
      return state;
    });
    turn = mine.catch(() => undefined);
    return mine;
  }

  async function change(id: string, told: Partial<StationSettings>): Promise<void> {
    const { settings } = state;
    if (!settings.station.some(s => s.id === id))
      throw new WattkeepError('STATION_UNKNOWN', `There is no station "${id}" in the settings.`, 'Add it in Setup.');
    const station = settings.station.map(s => (s.id === id ? { ...s, ...told } : s));
    await put({ ...settings, station }, undefined);
  }

  return {
    get: () => state,
    put,
    setInputSource: (id, inputSource) => change(id, { inputSource }),
    async setLan(lan) {
      const { lan: before, ...server } = state.settings.server;
      if (before === lan) return;
      await put({ ...state.settings, server: lan === undefined ? server : { ...server, lan } }, undefined);
    },
    setLoads: (id, load) => change(id, { load }),
    setPlan: (id, plan) => change(id, { plan }),
  };
}
