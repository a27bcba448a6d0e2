/** Words of the short list of views that a phone's menu has no room for. */

export const MORE = 'More';
/** Address, name, the question it answers. */
export const BEHIND = [
  ['/trials', 'Trials', 'Does it deliver what it says?'],
  ['/wiring', 'Wiring', 'May I plug these panels in?'],
  ['/setup', 'Setup', 'Which station, which panels, where?'],
] as const;
