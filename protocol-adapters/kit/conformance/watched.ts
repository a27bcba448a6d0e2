/**
 * Whether a function asks for the time, for chance, for timers or for anything outside: while it runs, the ways to do
 * so stand open but leave a note. For functions that return at once.
 */

type Slot = readonly [holder: object, key: string, name: string];

const outside = globalThis as unknown as Record<string, unknown>;
const isObject = (value: unknown): value is object => typeof value === 'object' && value !== null;

function slots(): Slot[] {
  const found: Slot[] = [
    [Math, 'random', 'chance'],
    [Date, 'now', 'the clock'],
  ];
  for (const key of ['setTimeout', 'setInterval', 'setImmediate', 'queueMicrotask'])
    found.push([outside, key, 'timers']);
  for (const key of ['fetch', 'WebSocket']) found.push([outside, key, 'the network']);
  if (isObject(outside.performance)) found.push([outside.performance, 'now', 'the clock']);
  return found.filter(([holder, key]) => typeof (holder as Record<string, unknown>)[key] === 'function');
}

/** Runs it and tells by name what it used, each once. */
export function watched<Answer>(run: () => Answer): { answer: Answer; used: string[] } {
  const used = new Set<string>();
  const undo: (() => void)[] = [];
  const put = (holder: object, key: string, value: unknown): void => {
    const before = Object.getOwnPropertyDescriptor(holder, key);
    Object.defineProperty(holder, key, { value, configurable: true, writable: true });
    undo.push(() => {
      if (before === undefined) Reflect.deleteProperty(holder, key);
      else Object.defineProperty(holder, key, before);
    });
  };
  for (const [holder, key, name] of slots()) {
    const real = (holder as Record<string, (...given: unknown[]) => unknown>)[key]!;
    put(holder, key, (...given: unknown[]) => {
      used.add(name);
      return Reflect.apply(real, holder, given);
    });
  }
  const noteBare = (given: readonly unknown[]): void => {
    if (given.length === 0) used.add('the clock');
  };
  put(
    outside,
    'Date',
    new Proxy(Date, {
      construct(real, given, target) {
        noteBare(given);
        return Reflect.construct(real, given, target) as object;
      },
      apply(real, self, given) {
        used.add('the clock');
        return Reflect.apply(real, self, given);
      },
    }),
  );
  try {
    return { answer: run(), used: [...used] };
  } finally {
    for (const back of undo.reverse()) back();
  }
}
