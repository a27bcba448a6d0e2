import { describe, expect, it } from 'vitest';
import { cell } from '../../web/state/cell.ts';
import type { Light } from '../../web/state/light.ts';
import { dayLight } from '../../web/views/aim/daylight.ts';
import { stayAwake } from '../../web/views/aim/stay-awake.ts';

describe('the screen kept awake', () => {
  function browser(grants: () => Promise<void>) {
    const told: boolean[] = [];
    let visible = true;
    let back: (() => void) | null = null;
    let held = 0;
    const letSleep = stayAwake({
      ask: async () => {
        await grants();
        held++;
        return {
          release: async () => {
            held--;
          },
        };
      },
      visible: () => visible,
      whenVisible(call) {
        back = call;
        return () => {
          back = null;
        };
      },
      told: awake => told.push(awake),
    });
    const show = (now: boolean) => {
      visible = now;
      // The browser itself lets go of a page that is hidden.
      if (!now) held = 0;
      back?.();
    };
    return { told, show, letSleep, held: () => held };
  }
  const settled = () => new Promise(resolve => setTimeout(resolve));

  it('is asked for at once, again after the page was hidden, and let go on leaving', async () => {
    const b = browser(async () => undefined);
    await settled();
    expect([b.held(), b.told]).toEqual([1, [true]]);
    b.show(false);
    b.show(true);
    await settled();
    expect(b.held()).toBe(1);
    b.letSleep();
    await settled();
    expect(b.held()).toBe(0);
    b.show(true);
    await settled();
    expect(b.held()).toBe(0);
  });

  it('is let go also where it was granted only after leaving', async () => {
    let grant: () => void = () => undefined;
    const b = browser(() => new Promise<void>(resolve => (grant = resolve)));
    b.letSleep();
    grant();
    await settled();
    expect([b.held(), b.told]).toEqual([0, []]);
  });

  it('says so where the browser refuses or has no such thing', async () => {
    const b = browser(() => Promise.reject(new DOMException('no', 'NotAllowedError')));
    await settled();
    expect(b.told).toEqual([false]);
    const told: boolean[] = [];
    stayAwake({
      ask: null,
      visible: () => true,
      whenVisible: () => () => undefined,
      told: awake => told.push(awake),
    })();
    expect(told).toEqual([false]);
  });
});

describe('the light outdoors', () => {
  function owner(chosen: Light | null) {
    const light = cell<Light>('day');
    const app = {
      light,
      lightChosen: () => chosen,
      systemWishChanged: () => light.set(chosen ?? 'day'),
    };
    const choose = (to: Light) => {
      chosen = to;
      light.set(to);
    };
    return { light, app, choose };
  }

  it('is glare while the sun is up and nothing was chosen, and goes back on leaving', () => {
    const { light, app } = owner(null);
    const by = dayLight(app);
    by.see(false);
    expect(light.value).toBe('day');
    by.see(true);
    expect(light.value).toBe('glare');
    by.leave();
    expect(light.value).toBe('day');
  });

  it('gives way to a choice, made before or meanwhile', () => {
    const before = owner('night');
    dayLight(before.app).see(true);
    expect(before.light.value).toBe('day');
    const { light, app, choose } = owner(null);
    const by = dayLight(app);
    by.see(true);
    choose('night');
    by.see(true);
    by.leave();
    expect(light.value).toBe('night');
  });
});
