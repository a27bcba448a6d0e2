/**
 * Entry of the page. The shell is painted before this runs; everything that weighs something is fetched once the first
 * frame has really been shown (a page in the background shows none: then after a moment).
 */
import { addFonts } from './fonts.ts';

const AT_LATEST_MS = 400;

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
setTimeout(start, AT_LATEST_MS);
