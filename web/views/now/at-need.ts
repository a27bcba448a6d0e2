/** Parts of the Now view that most days do without: fetched when first shown, in their place once they are there. */

const FETCH = {
  'source-question': () => import('./source-question.ts'),
  'unit-question': () => import('./unit-question.ts'),
  'typed-form': () => import('./typed-form.ts'),
} as const;

const asked = new Set<string>();

/** Call it whenever the element is rendered. One that could not be fetched is asked for again at the next rendering. */
export function need(element: keyof typeof FETCH): void {
  if (asked.has(element)) return;
  asked.add(element);
  FETCH[element]().catch(() => asked.delete(element));
}
