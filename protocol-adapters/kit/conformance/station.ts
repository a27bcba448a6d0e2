/**
 * Stations made of exchanges: one that answers as recorded, and the ways in which one goes wrong.
 */
import { STREAM } from '../ble.ts';
import { type Chance, spoil } from './chance.ts';
import { type Material, PROMPT_MS } from './material.ts';
import type { Reply, ScriptedStation } from './terms.ts';

const same = (a: Uint8Array, b: Uint8Array): boolean => a.length === b.length && a.every((byte, i) => byte === b[i]);

/**
 * What was recorded for a question, taken in turn; for a read, what was ever heard from that characteristic. `still`:
 * always the first, so that its values stand still.
 */
export function recordedStation({ exchanges, streams }: Material, still = false): ScriptedStation {
  const turns = new Map<string, number>();
  const inTurn = (key: string, choices: readonly (readonly Reply[])[]): readonly Reply[] => {
    if (choices.length === 0) return [];
    const turn = still ? 0 : (turns.get(key) ?? 0);
    turns.set(key, turn + 1);
    return choices[turn % choices.length]!;
  };
  const heard = streams.filter(({ place, sample }) => place !== STREAM && sample?.asked === undefined);
  return {
    asked: (message, to) =>
      inTurn(
        `${to} ${message.join()}`,
        exchanges.filter(one => one.to === to && same(one.asked, message)).map(one => one.answers),
      ),
    read: from => {
      const values = heard.filter(({ place }) => place === from).flatMap(({ bursts }) => bursts);
      // A characteristic that a station lacks is read as nothing.
      if (values.length === 0) return [{ from, bytes: new Uint8Array(0), delayMs: PROMPT_MS }];
      return inTurn(
        from,
        values.map(({ bytes }) => [{ from, bytes, delayMs: PROMPT_MS }]),
      );
    },
    unasked: streams
      .filter(({ sample }) => sample !== undefined && sample.asked === undefined)
      .flatMap(({ place, bursts }, i) => bursts.map(({ bytes }) => ({ from: place, bytes, delayMs: i * PROMPT_MS }))),
  };
}

/** The same station with its replies changed. */
const changed = (
  station: ScriptedStation,
  change: (replies: readonly Reply[], atMs: number) => readonly Reply[],
): ScriptedStation => ({
  asked: (message, to, atMs) => change(station.asked(message, to, atMs), atMs),
  read: (from, atMs) => change(station.read(from, atMs), atMs),
  unasked: [],
});

export const silent = (station: ScriptedStation): ScriptedStation => changed(station, () => []);

/** One reply in two comes after its question has been given up; a line keeps its order, so later ones wait behind it. */
export function late(station: ScriptedStation, lateMs: number, chance: Chance): ScriptedStation {
  let lastMs = 0;
  return changed(station, (replies, atMs) => {
    const moreMs = chance.whole(2) * lateMs;
    return replies.map(reply => {
      lastMs = Math.max(lastMs, atMs + reply.delayMs + moreMs);
      return { ...reply, delayMs: lastMs - atMs };
    });
  });
}

export const spoiled = (station: ScriptedStation, chance: Chance): ScriptedStation =>
  changed(station, replies => replies.map(reply => ({ ...reply, bytes: spoil(reply.bytes, chance) })));

export const noisy = (station: ScriptedStation, chance: Chance): ScriptedStation =>
  changed(station, replies => replies.map(reply => ({ ...reply, bytes: chance.bytes(1 + chance.whole(40)) })));

export const doubled = (station: ScriptedStation): ScriptedStation =>
  changed(station, replies => replies.flatMap(reply => [reply, { ...reply, delayMs: reply.delayMs + 1 }]));

/** Each question gets the answer of the one before. */
export function shifted(station: ScriptedStation): ScriptedStation {
  let before: readonly Reply[] = [];
  return changed(station, replies => {
    const given = before;
    before = replies;
    return given;
  });
}
