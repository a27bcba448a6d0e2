/* Before the first frame: the light the owner chose, so that a night page never flashes white. Inlined by its hash. */
try {
  const light = localStorage.getItem('wattkeep.light');
  if (light === 'day' || light === 'glare' || light === 'night') document.documentElement.dataset.light = light;
} catch {
  document.documentElement.dataset.storage = 'off';
}
