import { describe, expect, it } from 'vitest';
import { createPulses, type Pulse, pitchOf, rateOf } from '../../web/sound/pulses.ts';
import { createSpoken } from '../../web/sound/spoken.ts';
import { createTone } from '../../web/sound/tone.ts';
import { handPageClock } from '../support/page-clock.ts';

/** Pulses from one instant to another as the shell asks for them, with readings between. */
function heard(toS: number, wattsAt: (s: number) => number | null, everyS = 1) {
  const pulses = createPulses();
  const all: (Pulse & { askedS: number })[] = [];
  const ticks = Math.round(toS / 0.02);
  for (let k = 0; k < ticks; k++) {
    const s = k * 0.02;
    const watts = k % Math.round(everyS / 0.02) === 0 ? wattsAt(s) : null;
    if (watts !== null) pulses.reading(watts, s);
    for (const pulse of pulses.until(s + 0.05, s)) all.push({ ...pulse, askedS: s });
  }
  return all;
}

describe('pulses', () => {
  it('come once a second for nothing and ten times for the best, from 440 to 1320 Hz', () => {
    expect([rateOf(0), rateOf(1), pitchOf(0), pitchOf(1)]).toEqual([1, 10, 440, expect.closeTo(1320, 9)]);
    const best = heard(4, () => 300);
    expect(best.filter(p => p.atS > 1 && p.atS <= 3).length).toBeGreaterThanOrEqual(19);
    const none = heard(12, s => (s < 1 ? 300 : 0));
    expect(none.filter(p => p.atS > 2 && p.atS <= 10).length).toBeGreaterThanOrEqual(7);
    expect(none.at(-1)!.hz).toBeCloseTo(440, 0);
  });

  it('are asked for ahead of their time, in order, none twice', () => {
    const all = heard(20, s => 200 + 100 * Math.sin(s), 0.2);
    for (const [k, pulse] of all.entries()) {
      expect(pulse.atS).toBeGreaterThanOrEqual(pulse.askedS - 1e-9);
      expect(pulse.atS).toBeLessThanOrEqual(pulse.askedS + 0.05 + 1e-9);
      if (k > 0) expect(pulse.atS - all[k - 1]!.atS).toBeGreaterThan(0.055);
    }
  });

  it('say a change that is no hunting within 150 ms, however slow they were', () => {
    for (let late = 0; late < 1; late += 0.07) {
      const atS = 6 + Math.round(late / 0.02) * 0.02;
      const all = heard(9, s => (s === 0 ? 300 : s < atS - 0.001 ? 30 : 200), 0.02);
      const told = all.find(p => p.atS >= atS && Math.abs(p.hz / pitchOf(2 / 3) - 1) < 0.02);
      expect(told!.atS - atS).toBeLessThan(0.15);
    }
  });

  it('do not jump with the hunting of a tracker', () => {
    const all = heard(20, s => 200 * (1 + 0.01 * (Math.round(s) % 2 === 0 ? 1 : -1)), 1).filter(p => p.atS > 2);
    const intervals = all.slice(1).map((p, k) => p.atS - all[k]!.atS);
    expect(Math.max(...intervals) / Math.min(...intervals)).toBeLessThan(1.08);
  });

  it('sound a fifth along within 2 % of the best, and not below', () => {
    expect(heard(3, () => 300).at(-1)!.alsoHz).toBeCloseTo(1980, 0);
    expect(heard(5, s => (s < 1 ? 300 : 285)).at(-1)!.alsoHz).toBeNull();
  });

  it('forget a best after ten minutes', () => {
    const pulses = createPulses();
    pulses.reading(400, 0);
    for (let s = 1; s <= 599; s++) pulses.reading(200, s);
    expect(pulses.nearBest()).toBe(false);
    for (let s = 600; s <= 602; s++) pulses.reading(200, s);
    expect(pulses.nearBest()).toBe(true);
  });

  it('do not catch up with time that went by unheard', () => {
    const pulses = createPulses();
    pulses.reading(300, 0);
    pulses.until(0.05, 0);
    expect(pulses.until(30.05, 30).length).toBeLessThanOrEqual(1);
  });
});

/** A context that only notes what was asked of it. */
function notedAudio(nowS: () => number) {
  const started: { hz: number; atS: number }[] = [];
  const param = () => ({ value: 0, setValueAtTime: () => param(), linearRampToValueAtTime: () => param() });
  const node = () => ({ connect: (to: unknown) => to, disconnect: () => undefined });
  let closed = 0;
  const context = {
    get currentTime() {
      return nowS();
    },
    destination: node(),
    createGain: () => ({ ...node(), gain: param() }),
    createOscillator: () => {
      const frequency = param();
      return {
        ...node(),
        frequency,
        type: '',
        onended: null,
        start: (atS: number) => started.push({ hz: frequency.value, atS }),
        stop: () => undefined,
      };
    },
    resume: async () => undefined,
    close: async () => {
      closed++;
    },
  };
  return { context: context as unknown as AudioContext, started, closed: () => closed };
}

function stage() {
  const clock = handPageClock(0);
  const audio = notedAudio(() => clock.nowMs() / 1000);
  const felt: number[] = [];
  const tone = createTone(
    clock,
    () => audio.context,
    ms => felt.push(ms),
  );
  const read = (seconds: number, watts: number, everyMs = 1000): void => {
    for (let ms = 0; ms < seconds * 1000; ms += everyMs) {
      tone.reading(watts, 0);
      clock.advance(everyMs);
    }
  };
  return { clock, audio, tone, read, felt };
}

describe('the tone', () => {
  it('waits for the first reading, sounds with it, and is off after the button', () => {
    const { audio, tone, clock, read } = stage();
    expect(tone.state.value).toBe('off');
    tone.start();
    clock.advance(500);
    expect([tone.state.value, audio.started.length]).toEqual(['waiting', 0]);
    read(2, 100);
    expect(tone.state.value).toBe('sounding');
    expect(audio.started.length).toBeGreaterThan(10);
    tone.stop();
    const before = audio.started.length;
    read(3, 100);
    expect([tone.state.value, audio.started.length, audio.closed()]).toEqual(['off', before, 1]);
  });

  it('says once that readings stopped, and goes on with the next', () => {
    const { audio, tone, clock, read } = stage();
    tone.start();
    read(3, 100);
    clock.advance(1_600);
    expect(tone.state.value).toBe('lost');
    const atLost = audio.started.length;
    expect(audio.started.slice(-2).map(n => n.hz)).toEqual([330, 247]);
    clock.advance(20_000);
    expect(audio.started.length).toBe(atLost);
    read(2, 100);
    expect(tone.state.value).toBe('sounding');
    expect(audio.started.length).toBeGreaterThan(atLost);
  });

  it('is silent at once where the page takes readings for stopped, and for a reading that comes too old', () => {
    const { audio, tone, read } = stage();
    tone.start();
    read(3, 100);
    tone.stale();
    expect(tone.state.value).toBe('lost');
    const before = audio.started.length;
    tone.reading(100, 60_000);
    expect([tone.state.value, audio.started.length]).toEqual(['lost', before]);
  });

  it('waits longer for a station that is read every ten seconds', () => {
    const { tone, clock, read } = stage();
    tone.start();
    read(40, 100, 10_000);
    clock.advance(5_000);
    expect(tone.state.value).toBe('sounding');
    clock.advance(10_000);
    expect(tone.state.value).toBe('lost');
  });

  it('ends by itself after ten minutes, and may be started again', () => {
    const { tone, read } = stage();
    tone.start();
    read(599, 100);
    expect(tone.state.value).toBe('sounding');
    read(2, 100);
    expect(tone.state.value).toBe('ended');
    tone.start();
    read(2, 100);
    expect(tone.state.value).toBe('sounding');
  });

  it('is felt when the best is reached, once', () => {
    const { tone, read, felt } = stage();
    tone.start();
    read(2, 300);
    read(2, 150);
    read(2, 299);
    expect(felt).toEqual([30, 30]);
  });

  it('says where a browser gives no sound', () => {
    const tone = createTone(handPageClock(0), () => {
      throw new Error('none');
    });
    tone.start();
    expect(tone.state.value).toBe('unheard');
  });
});

describe('spoken watts', () => {
  const begin = () => {
    const clock = handPageClock(0);
    const said: string[] = [];
    const voice = { speaking: false, speak: (text: string) => said.push(text), cancel: () => said.push('(hush)') };
    return { clock, said, voice, spoken: createSpoken(clock, voice, watts => `${watts} watts`) };
  };

  it('are said every five seconds, in whole watts, the newest', () => {
    const { clock, said, spoken } = begin();
    spoken.reading(213.6, 0);
    spoken.start();
    for (let s = 0; s < 11; s++) {
      spoken.reading(220 + s, 0);
      clock.advance(1000);
    }
    expect(said).toEqual(['214 watts', '224 watts', '229 watts']);
    spoken.stop();
    clock.advance(20_000);
    expect(said.at(-1)).toBe('(hush)');
  });

  it('are not said of an old reading, after a stop of readings, or into what is still being said', () => {
    const { clock, said, voice, spoken } = begin();
    spoken.start();
    spoken.reading(200, 0);
    clock.advance(4_900);
    clock.advance(200);
    expect(said).toEqual([]);
    spoken.reading(200, 0);
    spoken.stale();
    clock.advance(5_000);
    expect(said).toEqual(['(hush)']);
    voice.speaking = true;
    clock.advance(4_000);
    spoken.reading(200, 0);
    clock.advance(1_000);
    expect(said).toEqual(['(hush)']);
  });
});
