/**
 * The masthead of every view: the station's name (a plain choice where there are several), the mark that says how old
 * the reading is and whether the station is simulated, the light, and the line for what is wrong with the record.
 */
import { formatsFor, spanText, timesFor } from './format.ts';
import type { App } from './state/app.ts';
import { ageMs, freshness } from './state/freshness.ts';
import type { StationLive } from './state/live.ts';
import * as words from './words.ts';

export const selectedStation = (app: App): StationLive | null =>
  app.live.value.stations.find(s => s.station.id === app.selected.value) ?? app.live.value.stations[0] ?? null;

export function showMasthead(app: App, page: Document): void {
  const byId = (id: string) => page.getElementById(id)!;
  const light = byId('light') as HTMLButtonElement;
  const showLight = () => {
    page.documentElement.dataset.light = app.light.value;
    light.hidden = false;
    light.textContent = words.lightName(app.light.value);
    light.setAttribute('aria-label', words.lightLabel(app.light.value));
  };
  light.addEventListener('click', () => app.changeLight());
  page.addEventListener('keydown', event => {
    const typing = event
      .composedPath()
      .some(node => node instanceof HTMLElement && node.matches('input, select, textarea'));
    if (event.key.toLowerCase() === 'l' && !typing && !event.ctrlKey && !event.metaKey && !event.altKey)
      app.changeLight();
  });
  app.light.listen(showLight);
  showLight();

  const name = showName(app, byId('name'));
  const mark = byId('mark');
  const notice = byId('notice');
  const refresh = () => {
    name();
    setText(mark, ...markTexts(app));
    showNotice(app, notice);
  };
  for (const source of [app.live, app.connection, app.selected, app.tick]) source.listen(refresh);
  refresh();
}

/** Long and short form; the width of the page decides which is seen. */
function setText(element: HTMLElement, long: string, short: string): void {
  if (element.dataset.text === `${long}|${short}`) return;
  element.dataset.text = `${long}|${short}`;
  const [a, b] = [document.createElement('span'), document.createElement('span')];
  a.className = 'long';
  a.textContent = long;
  b.className = 'short';
  b.textContent = short;
  element.replaceChildren(a, b);
}

/** The mark at the right: simulated, and the age of the reading; never a sign of life that is not there. */
export function markTexts(app: App): [long: string, short: string] {
  const live = selectedStation(app);
  if (live === null) return ['', ''];
  const long: string[] = [];
  const short: string[] = [];
  if (live.station.simulated) {
    long.push(words.MARK_SIMULATED);
    short.push(words.MARK_SIMULATED_SHORT);
  }
  const age = ageMs(live, app.clock.nowMs());
  if (app.connection.value.phase === 'lost') {
    long.push(words.agentAway);
    short.push(words.agentAway);
  } else if (age !== null) {
    const formats = formatsFor(app.locale, 'C');
    const span = spanText(age, value => formats.number(value, 1));
    const typed = freshness(live, app.connection.value, app.clock.nowMs()) === 'typed';
    long.push(typed ? words.typedAge(span) : words.readingAge(span));
    short.push(typed ? words.typedAge(span) : words.readingAgeShort(span));
  }
  const limits = words.MAY_ONLY[app.live.value.hello?.scope ?? 'change'];
  if (limits !== '') {
    long.push(limits);
    short.push(limits);
  }
  if (live.station.zone !== app.zone) long.push(words.zoneTold(live.station.zone));
  return [long.join(' · '), short.join(' · ')];
}

function showName(app: App, holder: HTMLElement): () => void {
  let shown = '';
  return () => {
    const stations = app.live.value.stations.map(s => s.station);
    const current = selectedStation(app)?.station;
    const state = JSON.stringify([stations.map(s => [s.id, s.name]), current?.id]);
    if (state === shown || current === undefined) return;
    shown = state;
    holder.classList.add('told');
    if (stations.length === 1) {
      const one = document.createElement('span');
      one.textContent = one.title = current.name;
      holder.replaceChildren(one);
      return;
    }
    const select = document.createElement('select');
    select.setAttribute('aria-label', words.WHICH_STATION);
    for (const station of stations) select.add(new Option(station.name, station.id, false, station.id === current.id));
    select.addEventListener('change', () => app.select(select.value));
    holder.replaceChildren(select);
  };
}

/** Another version of the agent, or a record that takes nothing: said on every view until it is over. */
function showNotice(app: App, notice: HTMLElement): void {
  const outdated = app.connection.value.phase === 'outdated';
  const { health } = app.live.value;
  const trouble = health?.saved.trouble ?? null;
  const times = timesFor(app.locale, app.zone, app.live.value.display.clock);
  const since = health?.saved.troubleSinceAt ?? null;
  const told =
    trouble === null ? [] : [words.savingTrouble(trouble, since === null ? null : times.time(Date.parse(since)))];
  const text = outdated
    ? words.OUTDATED
    : [...told, ...(health?.saved.notes ?? []), ...(health?.notes ?? [])].join(' ');
  if (notice.dataset.text === text) return;
  notice.dataset.text = text;
  notice.replaceChildren(text);
  if (!outdated) return;
  const reload = document.createElement('button');
  reload.type = 'button';
  reload.textContent = words.RELOAD;
  reload.addEventListener('click', () => location.reload());
  notice.append(' ', reload);
}
