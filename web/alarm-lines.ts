/**
 * The alarms above every view: read out once to screen readers when they are called, sounded where that was allowed, and
 * each as a notification of the system where the browser already has leave to show them. Nobody is asked for that leave.
 * Loaded with the first alarm there is.
 */
import { css, html, LitElement, nothing, type TemplateResult } from 'lit';
import { repeat } from 'lit/directives/repeat.js';
import { ALARM_PRIORITIES, type AlarmChange, SHELVES, type WireAlarm } from '#messages';
import { alarmText, alarmTimes } from './alarm-text.ts';
import { soundAlarm } from './sound/alarm.ts';
import { answerAlarm, linesOf, readAlarms } from './state/alarms.ts';
import type { App } from './state/app.ts';
import { Listening } from './state/listening.ts';
import { may } from './state/live.ts';
import { shared } from './styles/shared.ts';
import * as words from './words/alarms.ts';

export class AlarmLines extends LitElement {
  static override properties = { app: { attribute: false } };
  static override styles = [
    shared,
    css`
      :host { padding: 8px 40px; border-bottom: 2px solid var(--ink); }
      :host([hidden]) { display: none; }
      section { margin: 4px 0; }
      p { margin: 0; max-width: 68ch; }
      .row { gap: 8px 16px; margin: 4px 0; align-items: start; }
      button, summary { min-height: 48px; }
      summary { padding: 12px 0; }
      details p { margin: 0 0 8px; }
      @media (max-width: 719px) { :host { padding: 4px 16px; } }
    `,
  ];

  declare app: App;
  /** Shows it outside of the page; null where there is no leave. */
  notify: ((text: string, id: string) => void) | null = null;
  private readonly told = new Set<string>();
  private readonly sounded = new Set<number>();
  private refused = '';

  constructor() {
    super();
    new Listening(this, () => [this.app.alarms, this.app.live]);
  }

  protected override render() {
    const { calls, rest, shelved } = linesOf(readAlarms(this.app.alarms.value));
    return html`${repeat(
      calls,
      ({ call }) => call,
      ({ alarms }) => html`<div role="alert">${this.sections(alarms)}</div>`,
    )}${this.sections(rest)}
    ${
      shelved.length === 0
        ? nothing
        : html`<details><summary>${words.shelved(shelved.length)}</summary>${shelved.map(alarm => this.aside(alarm))}</details>`
    }
    ${this.refused === '' ? nothing : html`<p role="status">${this.refused}</p>`}`;
  }

  private sections(alarms: readonly WireAlarm[]) {
    return repeat(
      alarms,
      ({ id }) => id,
      alarm => this.section(alarm),
    );
  }

  private section(alarm: WireAlarm): TemplateResult {
    const acknowledged = alarm.state === 'acknowledged';
    const may = this.may();
    const { id } = alarm;
    return html`<section>
      <p class=${alarm.state === 'active' ? 'wrong' : ''}>${this.text(alarm)}${acknowledged ? ` ${words.ACKNOWLEDGED}` : nothing}</p>
      <div class="row">
        ${may && !acknowledged ? html`<button type="button" @click=${() => this.answer({ do: 'acknowledge', id })}>${words.ACKNOWLEDGE}</button>` : nothing}
        ${
          alarm.state === 'cleared'
            ? nothing
            : html`<details><summary>${words.MORE}</summary>
                <p>${alarm.act} ${alarm.consequence} ${alarm.time}</p>
                ${may ? this.shelf(id) : nothing}</details>`
        }
      </div></section>`;
  }

  private shelf(id: string) {
    return html`<p class="row">${SHELVES.map(
      until =>
        html`<button type="button" @click=${() => this.answer({ do: 'shelve', id, until })}>${words.SET_ASIDE} ${words.SHELVES[until]}</button>`,
    )}</p>`;
  }

  private aside(alarm: WireAlarm) {
    const { id, shelvedUntilAt } = alarm;
    const until = Date.parse(shelvedUntilAt!);
    return html`<section><p>${words.until(alarmText(alarm, this.app), alarmTimes(alarm, this.app).moment(until, Date.parse(alarm.raisedAt)))}</p>
      ${this.may() ? html`<button type="button" @click=${() => this.answer({ do: 'unshelve', id })}>${words.UNSHELVE}</button>` : nothing}</section>`;
  }

  private may = () => may(this.app.live.value, 'mark');

  private text(alarm: WireAlarm): string {
    const text = alarmText(alarm, this.app);
    if (alarm.clearedAt === null) return text;
    const since = alarmTimes(alarm, this.app).moment(Date.parse(alarm.clearedAt), Date.parse(alarm.raisedAt));
    return words.over(text, since);
  }

  private async answer(what: AlarmChange): Promise<void> {
    const answer = await answerAlarm(this.app.api, what);
    this.refused = answer.ok ? '' : `${answer.refusal.message} ${answer.refusal.fix}`;
    this.requestUpdate();
  }

  protected override updated(): void {
    this.hidden = this.app.alarms.value.length === 0;
    const { calls } = linesOf(readAlarms(this.app.alarms.value));
    for (const { call, alarms } of calls) {
      const fresh = alarms.filter(({ id }) => !this.told.has(id));
      for (const alarm of fresh) {
        this.told.add(alarm.id);
        this.notify?.(alarmText(alarm, this.app), alarm.id);
      }
      if (this.sounded.has(call) || fresh.length === 0) continue;
      this.sounded.add(call);
      soundAlarm(ALARM_PRIORITIES[Math.max(...fresh.map(({ priority }) => ALARM_PRIORITIES.indexOf(priority)))]!);
    }
  }
}

customElements.define('alarm-lines', AlarmLines);

/** Puts the lines below the notices of every view. */
export function showAlarmLines(app: App): void {
  const lines = new AlarmLines();
  lines.app = app;
  lines.role = 'region';
  lines.ariaLabel = words.ALARMS;
  lines.notify = (text, tag) => {
    if (!('Notification' in window) || Notification.permission !== 'granted') return;
    try {
      new Notification(document.title, { body: text, tag });
    } catch (cause) {
      // Phones show none that a page makes itself; the line on the page stands all the same.
      if (!(cause instanceof TypeError)) throw cause;
    }
  };
  document.getElementById('notice')!.after(lines);
}
