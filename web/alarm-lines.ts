/**
 * The alarms that stand, above every view, read out at once to screen readers; each also as a notification of the system
 * where the browser already has leave to show them. Nobody is asked for that leave.
 */
import { css, html, LitElement } from 'lit';
import { asText, formatsFor, spanText, timesFor } from './format.ts';
import type { Alarm } from './state/alarms.ts';
import type { App } from './state/app.ts';
import { Listening } from './state/listening.ts';
import { shared } from './styles/shared.ts';
import * as words from './words/alarms.ts';
import { the } from './words/load-name.ts';

const MINUTE_MS = 60_000;

export function alarmText(alarm: Alarm, app: App): string {
  const live = app.live.value;
  const station = live.stations.find(s => s.station.id === alarm.station)?.station;
  const formats = formatsFor(app.locale, live.display.temperature);
  const times = timesFor(app.locale, station?.zone ?? app.zone, live.display.clock);
  const name = station?.name ?? alarm.station;
  if (alarm.kind === 'quiet') {
    const load = alarm.name === null ? words.whatDrew(asText(formats.power(alarm.powerW))) : the(alarm.name);
    return words.quiet(name, load, times.moment(alarm.sinceAt, alarm.raisedAt));
  }
  const leftMin = Math.max(1, Math.floor((alarm.atLeastAt - alarm.raisedAt) / MINUTE_MS));
  return words.ending(
    name,
    spanText(leftMin * MINUTE_MS),
    asText(formats.percent(alarm.floorPct)),
    times.time(alarm.atLeastAt),
  );
}

export class AlarmLines extends LitElement {
  static override properties = { app: { attribute: false } };
  static override styles = [
    shared,
    css`
      div { display: flex; flex-wrap: wrap; align-items: baseline; gap: 4px 16px; margin: 8px 0; }
      p { margin: 0; }
    `,
  ];

  declare app: App;
  /** Shows it outside of the page; null where there is no leave. */
  notify: ((text: string, id: string) => void) | null = null;
  private readonly told = new Set<string>();

  constructor() {
    super();
    new Listening(this, () => [this.app.alarms]);
  }

  protected override render() {
    return this.app.alarms.value.map(
      alarm => html`<div role="alert"><p class="wrong">${alarmText(alarm, this.app)}</p>
        <button type="button" class="word" @click=${() => this.app.putAlarmAway(alarm.id)}>${words.PUT_AWAY}</button></div>`,
    );
  }

  protected override updated(): void {
    for (const alarm of this.app.alarms.value) {
      if (this.told.has(alarm.id)) continue;
      this.told.add(alarm.id);
      this.notify?.(alarmText(alarm, this.app), alarm.id);
    }
  }
}

customElements.define('alarm-lines', AlarmLines);
