/*
 * Inlined by its hash. Asks for the page once the first frame was shown: a script named in the shell would be compiled and
 * run before that frame. The light the owner chose already stands in the shell, which the agent sends in it.
 */
{
  // Longer than a slow phone takes to its first frame: sooner, it would be delayed by what it is waited for.
  const AT_LATEST_MS = 2000;
  let started = false;
  const start = () => {
    if (started) return;
    started = true;
    import('%entry%').catch(() => {
      document.querySelector('#view h1')?.replaceChildren('The page did not load. Reload it.');
    });
  };

  // A frame may show paper and nothing on it: the script would delay the one that is waited for.
  new PerformanceObserver(shown => {
    if (shown.getEntriesByName('first-contentful-paint').length > 0) start();
  }).observe({ type: 'paint', buffered: true });
  // A page in the background shows no frame: then at once.
  setTimeout(start, document.hidden ? 0 : AT_LATEST_MS);
}
