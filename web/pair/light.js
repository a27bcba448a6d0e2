/* Inlined by its hash: the light the owner chose, before the first frame. */
try {
  const light = localStorage.getItem('wattkeep.light');
  if (light === 'day' || light === 'glare' || light === 'night') document.documentElement.dataset.light = light;
} catch {
  document.documentElement.dataset.storage = 'off';
}
