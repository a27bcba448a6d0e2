/**
 * Entry of the page. The shell is painted before this runs; everything that weighs something is fetched once the first
 * frame has really been shown (a page in the background shows none: then at once).
 */
import { addFonts } from './fonts.ts';

/** Longer than a slow phone takes to its first frame: sooner, it would be delayed by what it is waited for. */
const AT_LATEST_MS = 2_000;

let started = false;
function start(): void {
  if (started) return;
  started = true;
  addFonts(document);
  import('./page.ts').then(
    page => page.run(),
    () => document.querySelector('#view h1')?.replaceChildren('The page did not load. Reload it.'),
  );
}

new PerformanceObserver(start).observe({ type: 'paint', buffered: true });
setTimeout(start, document.hidden ? 0 : AT_LATEST_MS);
