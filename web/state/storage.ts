/** Small choices kept by the browser: which light, which station. A browser that refuses storage only forgets them. */

export interface Choices {
  read(name: string): string | null;
  keep(name: string, value: string | null): void;
}

const PREFIX = 'wattkeep.';

/** Choices over a Storage; where it is denied (private window, policy) they last as long as the page. */
export function keptChoices(open: () => Storage): Choices {
  const inMemory = new Map<string, string>();
  let storage: Storage | null = null;
  try {
    storage = open();
    storage.getItem(PREFIX);
  } catch (cause) {
    // Denied storage throws SecurityError on the first touch.
    if (!(cause instanceof Error)) throw cause;
    storage = null;
  }
  return {
    read: name => inMemory.get(name) ?? storage?.getItem(PREFIX + name) ?? null,
    keep(name, value) {
      inMemory.delete(name);
      if (value === null) storage?.removeItem(PREFIX + name);
      else if (storage === null) inMemory.set(name, value);
      else {
        try {
          storage.setItem(PREFIX + name, value);
        } catch (cause) {
          // A full or read-only storage: the choice still holds until the page is closed.
          if (!(cause instanceof Error)) throw cause;
          inMemory.set(name, value);
        }
      }
    },
  };
}
