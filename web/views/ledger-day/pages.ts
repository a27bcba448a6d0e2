/** The pages below the Ledger: a day, or two things beside each other. */

/** The element of an address below `/ledger/`, its code loaded. */
export async function tagOf(path: string): Promise<string> {
  if (path === '/ledger/beside') {
    await import('../ledger-beside/beside-view.ts');
    return 'ledger-beside-view';
  }
  await import('./day-view.ts');
  return 'ledger-day-view';
}
