/** The library loaded and the adapter switched on, within a limit; or why not. Once ready, its loss is told once. */
import type { Timers } from '#kit';
import { type Library, type Loaded, loadLibrary } from './radio-library.ts';
import {
  adapterSilent,
  type Computer,
  libraryFailed,
  libraryMissing,
  type RadioFailure,
  stateFailure,
} from './radio-words.ts';

export type Power = { readonly library: Library } | RadioFailure;

export interface PowerSurroundings {
  readonly timers: Timers;
  readonly limitMs: number;
  readonly computer: Computer;
  readonly onLost: (why: RadioFailure) => void;
  readonly load?: () => Promise<Loaded>;
}

export async function powerOn({
  timers,
  limitMs,
  computer,
  onLost,
  load = loadLibrary,
}: PowerSurroundings): Promise<Power> {
  const loaded = await load();
  if (!('library' in loaded)) return loaded.missing ? libraryMissing(computer) : libraryFailed(loaded.detail);
  const { library } = loaded;
  return new Promise(resolve => {
    let warning = '';
    let last: RadioFailure | null = null;
    let settled: 'no' | 'on' | 'failed' = 'no';
    const settle = (power: Power): void => {
      if (settled !== 'no') return;
      cancel();
      settled = 'library' in power ? 'on' : 'failed';
      resolve(power);
    };
    // Off or not allowed may still change within the limit, as it does right after the computer woke.
    const cancel = timers.after(limitMs, () => settle(last ?? adapterSilent(warning, computer)));
    library.on('warning', words => {
      warning = words;
    });
    library.on('stateChange', state => {
      if (state === 'poweredOn') settle({ library });
      else if (settled === 'on') {
        onLost(stateFailure(state, computer) ?? { failure: 'unplugged', detail: 'the Bluetooth adapter went away' });
      } else last = stateFailure(state, computer);
      if (state === 'unsupported' && last !== null) settle(last);
    });
  });
}
