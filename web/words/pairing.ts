/** Words of the page on which a phone or a browser is let in. */

export const LET_IN = 'Let this phone in';
export const LET_BROWSER = 'Let this browser change things';
export const LET_IN_WHY = 'Someone at wattkeep’s own computer has to say yes.';
export const TYPE_CODE = 'Type the code that wattkeep shows under “Sharing” in Setup, or after “wattkeep pair”.';
export const PASTE_LINK =
  'Paste the link that wattkeep printed below its address when it started, or one of “wattkeep pair --here”.';
export const CODE = 'Code';
export const LINK = 'Link, or code';
export const NAME = 'What this phone is called there';
export const PHONE = 'Phone';
export const BROWSER = 'Browser';
export const ASK = 'Ask to be let in';
export const ASKING = 'Asking';

export const COMPARE = 'Do both sides show these two words?';
export const COMPARE_WHY =
  'Say yes at wattkeep’s own computer only if it shows the same two. This page then goes on by itself.';

export const allowed = (scope: string): string =>
  ({
    view: 'This phone may look.',
    mark: 'This phone may look, and mark spots.',
    change: 'This phone may change things for 24 hours.',
  })[scope] ?? 'This phone may look.';
export const HERE_ALLOWED = 'This browser may change things.';
export const OPEN_PAGE = 'Open the page';

export const REFUSED = 'It was not let in.';
export const REFUSED_WHY = 'Whoever sits at wattkeep’s own computer said no.';
export const OVER = 'Nobody answered in time.';
export const OVER_WHY = 'Ask there for a new code, then try again.';
export const AGAIN = 'Try again with a new code';

export const LINK_OVER = 'This link no longer works.';
export const LINK_OVER_WHY =
  'It was used already, or is too old. “wattkeep pair --here” prints a new one on wattkeep’s own computer.';
/** Of the line that tells what was turned away. */
export const PUT_AWAY = 'Put away';
export const NO_ANSWER = 'wattkeep does not answer. Check that it is running and that both are on the same network.';

export const PLAIN_HTTP = 'The connection is not encrypted: whoever is on this network can read along what is shown.';
export const PLAIN_HTTP_CHANGE =
  'They could also take this over and change things in your place, or put another page here.';
