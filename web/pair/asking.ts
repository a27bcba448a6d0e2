/** What the pairing page sends and what comes back: each answer checked, each refusal with the words to show. */
import * as v from 'valibot';

/** As in agent/messages/sharing, without all else that stands there: this page is small. */
const PairAnswer = v.object({
  state: v.picklist(['waiting', 'allowed', 'refused', 'over']),
  request: v.optional(v.string()),
  words: v.optional(v.string()),
  scope: v.optional(v.string()),
});
const Refused = v.object({ error: v.object({ message: v.string(), fix: v.string() }) });

export type PairAnswer = v.InferOutput<typeof PairAnswer>;
/** `says` null: nothing came back. */
export type Heard = { ok: true; answer: PairAnswer } | { ok: false; says: string | null };

/** @param body a secret with a name, or a request that waits */
export async function ask(body: { secret: string; name: string } | { request: string }): Promise<Heard> {
  const response = await fetch('/pair', {
    method: 'POST',
    headers: { 'content-type': 'application/json', 'x-wattkeep': '1' },
    body: JSON.stringify(body),
  }).catch(() => null);
  const told: unknown = await response?.json().catch(() => null);
  const answer = v.safeParse(PairAnswer, told);
  if (response?.ok === true && answer.success) return { ok: true, answer: answer.output };
  const refused = v.safeParse(Refused, told);
  return { ok: false, says: refused.success ? `${refused.output.error.message} ${refused.output.error.fix}` : null };
}
