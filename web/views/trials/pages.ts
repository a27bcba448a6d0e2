/** The pages below Trials: one trial, beginning one, results side by side, the years. */

/** The element of an address below `/trials/`, its code loaded. */
export async function tagOf(path: string): Promise<string> {
  switch (path) {
    case '/trials/begin':
      await import('./begin-view.ts');
      return 'trials-begin-view';
    case '/trials/beside':
      await import('./beside-view.ts');
      return 'trials-beside-view';
    case '/trials/years':
      await import('./years-view.ts');
      return 'trials-years-view';
    default:
      await import('./trial-view.ts');
      return 'trial-view';
  }
}
