/** The light Aim is shown in by day, outdoors: glare, unless the owner ever chose one. Given back on leaving. */
import type { App } from '../../state/app.ts';

export interface DayLight {
  /** Says whether the sun is up where the station is; glare is put on once, at the first yes. */
  see(sunUp: boolean): void;
  leave(): void;
}

export function dayLight(app: Pick<App, 'light' | 'lightChosen' | 'systemWishChanged'>): DayLight {
  let given = false;
  return {
    see(sunUp) {
      if (given || !sunUp || app.lightChosen() !== null) return;
      given = true;
      app.light.set('glare');
    },
    leave() {
      // What was chosen meanwhile stays; else the system's wish comes back.
      if (given) app.systemWishChanged();
      given = false;
    },
  };
}
