/**
 * The chosen light lies in a cookie, where the agent reads it and sends the page in that light. All other choices stay
 * where they are kept; a choice made before there was the cookie is still found there.
 */
import type { Choices } from './storage.ts';

const NAME = 'light';
/** Shared with `agent/server/light`. */
const COOKIE = 'wattkeep.light';
/** As long as browsers keep one at most, s. */
const KEPT_S = 400 * 86_400;

export function withLightCookie(choices: Choices, page: Pick<Document, 'cookie'>): Choices {
  return {
    read: name =>
      (name === NAME
        ? page.cookie
            .split('; ')
            .find(pair => pair.startsWith(`${COOKIE}=`))
            ?.slice(COOKIE.length + 1)
        : null) ?? choices.read(name),
    keep(name, value) {
      // Kept as a choice of old too: a browser without cookies then only shows it a moment later.
      choices.keep(name, value);
      if (name !== NAME) return;
      page.cookie = `${COOKIE}=${value ?? ''}; Path=/; SameSite=Lax; Max-Age=${value === null ? 0 : KEPT_S}`;
    },
  };
}
