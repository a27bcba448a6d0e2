/**
 * Entry of the page. The shell is painted before this runs; everything that weighs something is fetched after the
 * first frame.
 */
requestAnimationFrame(() => {
  setTimeout(() => {
    import('./page.ts').then(
      page => page.run(),
      () => document.querySelector('#view h1')?.replaceChildren('The page did not load. Reload it.'),
    );
  });
});

export {};
