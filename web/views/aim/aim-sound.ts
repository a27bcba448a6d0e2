/**
 * What Aim gives to the ears: the tone and spoken watts, fed with each reading of the station shown while the view is
 * there. Silent at once when readings stop, and when the view is left.
 */
import type { ReactiveController, ReactiveControllerHost } from 'lit';
import { selectedStation } from '../../masthead.ts';
import { browserVoice, createSpoken, type Spoken } from '../../sound/spoken.ts';
import { browserTone, type Tone } from '../../sound/tone.ts';
import type { App } from '../../state/app.ts';
import { ageMs } from '../../state/freshness.ts';
import type { KeptReading } from '../../state/live.ts';
import * as words from '../../words/aim.ts';
import { type Quantity, wattsOf } from './quantity.ts';

interface Parts {
  app: App;
  quantity: Quantity | null;
  /** The reading is old, or the station is not read. */
  gone: boolean;
}

export class AimSound implements ReactiveController {
  private readonly host: ReactiveControllerHost;
  private readonly parts: () => Parts;
  private tone: Tone | null = null;
  private spoken: Spoken | null = null;
  private stops: (() => void)[] = [];
  private last: KeptReading | null = null;

  constructor(host: ReactiveControllerHost, parts: () => Parts) {
    this.host = host;
    this.parts = parts;
    host.addController(this);
  }

  hostConnected(): void {
    const { app } = this.parts();
    this.tone = browserTone(app.clock);
    const voice = browserVoice('en');
    this.spoken = voice === null ? null : createSpoken(app.clock, voice, words.spokenWatts);
    const changed = () => this.host.requestUpdate();
    this.stops = [app.live.listen(() => this.take()), this.tone.state.listen(changed)];
    if (this.spoken !== null) this.stops.push(this.spoken.on.listen(changed));
  }

  hostDisconnected(): void {
    this.tone?.stop();
    this.spoken?.stop();
    for (const stop of this.stops) stop();
    this.stops = [];
  }

  /** Something is heard, or will be with the next reading. */
  get on(): boolean {
    return ['waiting', 'sounding', 'lost'].includes(this.tone?.state.value ?? 'off');
  }

  /** What there is to say of the tone; '' for nothing. */
  get told(): string {
    const state = this.tone?.state.value ?? 'off';
    return state === 'ended' ? words.TONE_ENDED : state === 'unheard' ? words.NO_SOUND : '';
  }

  /** Null where this browser has no voice. */
  get speaks(): boolean | null {
    return this.spoken?.on.value ?? null;
  }

  /** Within a tap. */
  toggleTone(): void {
    if (this.on) this.tone?.stop();
    else this.tone?.start();
    this.last = null;
    this.take();
  }

  /** Within a tap. */
  toggleSpoken(): void {
    if (this.speaks) this.spoken?.stop();
    else {
      this.last = null;
      this.take();
      this.spoken?.start();
    }
  }

  /** The page takes the readings for stopped. */
  stale(): void {
    this.tone?.stale();
    this.spoken?.stale();
  }

  private take(): void {
    const { app, quantity, gone } = this.parts();
    const live = selectedStation(app);
    const reading = live?.reading ?? null;
    if (live === null || reading === null || reading === this.last) return;
    this.last = reading;
    const watts = wattsOf(reading.wire, quantity);
    if (watts === null || gone) {
      this.stale();
      return;
    }
    const age = ageMs(live, app.clock.nowMs()) ?? 0;
    this.tone?.reading(watts, age);
    this.spoken?.reading(watts, age);
  }
}
