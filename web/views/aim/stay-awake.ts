/**
 * Keeps the screen on while someone aims, where the browser allows it: only pages of a secure address may ask. Taken
 * again whenever the page comes back to the front, since it is lost when it goes.
 */

interface Held {
  release(): Promise<void>;
}
export interface WakeParts {
  /** Asks for it; null where the browser has no such thing. */
  ask: (() => Promise<Held>) | null;
  visible(): boolean;
  whenVisible(call: () => void): () => void;
  /** Told once: false where the screen will sleep. */
  told(awake: boolean): void;
}

/** Begins at once. @returns how to let go */
export function stayAwake({ ask, visible, whenVisible, told }: WakeParts): () => void {
  if (ask === null) {
    told(false);
    return () => undefined;
  }
  let held: Held | null = null;
  let over = false;
  const letGo = (lock: Held) => void lock.release().catch(() => undefined);
  const take = () => {
    if (!visible() || over) return;
    ask().then(
      lock => {
        if (over) letGo(lock);
        else {
          held = lock;
          told(true);
        }
      },
      // Refused, as by a phone that saves its battery.
      () => told(false),
    );
  };
  const stop = whenVisible(take);
  take();
  return () => {
    over = true;
    stop();
    if (held !== null) letGo(held);
  };
}

/** The parts of a real browser. */
export function wakeOf(page: Document, browser: Navigator, told: (awake: boolean) => void): WakeParts {
  const lock = 'wakeLock' in browser ? browser.wakeLock : undefined;
  return {
    ask: lock === undefined ? null : () => lock.request('screen'),
    visible: () => page.visibilityState === 'visible',
    whenVisible(call) {
      page.addEventListener('visibilitychange', call);
      return () => page.removeEventListener('visibilitychange', call);
    },
    told,
  };
}
