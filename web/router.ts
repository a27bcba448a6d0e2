/**
 * Addresses and views: the menu's links change the view without loading the page anew; each view's code comes when asked
 * for. A view may have pages of its own below its address (`/ledger/2026-07-03`): their module names the element.
 */

import './views/now/now-view.ts';
import { selectedStation } from './masthead.ts';
import type { App } from './state/app.ts';
import * as words from './words.ts';

export type ViewName = keyof typeof words.VIEW_NAMES;

const LOADERS: Record<ViewName, (path: string) => Promise<unknown>> = {
  now: async () => ({}),
  aim: () => import('./views/aim/aim-view.ts'),
  outlast: path =>
    path === '/outlast' ? import('./views/outlast/outlast-view.ts') : import('./views/outlast/plan/plan-view.ts'),
  ledger: path =>
    path === '/ledger' ? import('./views/ledger/ledger-view.ts') : import('./views/ledger-day/pages.ts'),
  trials: path => (path === '/trials' ? import('./views/trials/trials-view.ts') : import('./views/trials/pages.ts')),
  wiring: () => import('./views/wiring/wiring-view.ts'),
  setup: () => import('./views/setup/setup-view.ts'),
  more: () => import('./views/more/more-view.ts'),
};

/** On a phone the menu has room for the first four. */
const BEHIND_MORE: readonly ViewName[] = ['trials', 'wiring', 'setup'];

/** The view of an address; an unknown one shows Now. */
export function viewOf(path: string): ViewName {
  const name = path.split('/')[1]!;
  return Object.hasOwn(LOADERS, name) ? (name as ViewName) : 'now';
}

/** Every view is an element that is handed the app. */
interface ViewElement extends HTMLElement {
  app: App;
}

/** What a module of pages below a view says of an address. */
interface Pages {
  tagOf?(path: string): Promise<string>;
}

export function showViews(app: App, page: Document): void {
  const holder = page.getElementById('view')!;
  let shown = '';

  const show = async (byLink: boolean): Promise<void> => {
    const { pathname, search } = location;
    const view = viewOf(pathname);
    for (const link of page.querySelectorAll<HTMLAnchorElement>('#menu a')) {
      const name = viewOf(new URL(link.href).pathname);
      if (name === view || (name === 'more' && BEHIND_MORE.includes(view))) link.setAttribute('aria-current', 'page');
      else link.removeAttribute('aria-current');
    }
    const title = () => {
      page.title = words.titleOf(words.VIEW_NAMES[view], selectedStation(app)?.station.name ?? null);
    };
    title();
    const address = pathname + search;
    if (address === shown) return;
    shown = address;
    const tag = await LOADERS[view](pathname).then(
      loaded => (loaded as Pages).tagOf?.(pathname) ?? `${view}-view`,
      () => null,
    );
    if (shown !== address) return;
    if (tag === null) {
      holder.textContent = words.NOT_LOADED;
      return;
    }
    const element = page.createElement(tag) as ViewElement;
    element.app = app;
    holder.replaceChildren(element);
    title();
    if (byLink) holder.focus();
  };

  page.addEventListener('click', event => {
    const link = event.composedPath().find(node => node instanceof HTMLAnchorElement);
    const plain = event.button === 0 && !event.ctrlKey && !event.metaKey && !event.shiftKey && !event.altKey;
    if (link === undefined || !plain || link.origin !== location.origin || link.hasAttribute('download')) return;
    if (link.pathname !== '/' && viewOf(link.pathname) === 'now') return;
    // A place within the view one is on is the browser's own affair; within another view, that view goes there.
    if (link.hash !== '' && link.pathname === location.pathname) return;
    event.preventDefault();
    const { pathname, search, hash } = link;
    if (pathname + search !== location.pathname + location.search)
      history.pushState(null, '', pathname + search + hash);
    scrollTo(0, 0);
    void show(true);
  });
  addEventListener('popstate', () => void show(true));
  app.live.listen(() => {
    page.title = words.titleOf(words.VIEW_NAMES[viewOf(location.pathname)], selectedStation(app)?.station.name ?? null);
  });
  void show(false);
}
