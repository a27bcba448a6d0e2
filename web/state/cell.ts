/** One value that tells its listeners when it changes. The page's stores are made of these. */

export interface ReadCell<T> {
  readonly value: T;
  /** Calls back after every change, not at once. Answers how to stop. */
  listen(listener: () => void): () => void;
}

export interface Cell<T> extends ReadCell<T> {
  /** Replaces the value; the same value again tells nobody. */
  set(value: T): void;
}

export function cell<T>(initial: T): Cell<T> {
  let value = initial;
  const listeners = new Set<() => void>();
  return {
    get value() {
      return value;
    },
    set(next) {
      if (Object.is(next, value)) return;
      value = next;
      for (const listener of [...listeners]) listener();
    },
    listen(listener) {
      listeners.add(listener);
      return () => {
        listeners.delete(listener);
      };
    },
  };
}
