/**
 * The page on which a phone is let in. A link brings its one-time token in the fragment, which no request carries and
 * which is taken out of the address before anything else; without one a code is typed. Then both sides show two words
 * until the owner has decided. On wattkeep's own computer a link is enough.
 */
import { addFonts } from '../fonts.ts';
import * as words from '../words/pairing.ts';
import { ask, type Heard, type PairAnswer } from './asking.ts';

const ASK_AGAIN_MS = 1_000;
/** So long an agent that does not answer is taken for one that will. */
const PATIENCE = 30;

const isHere = ['127.0.0.1', 'localhost', '[::1]'].includes(location.hostname);
const says = document.getElementById('says')!;
const told = document.getElementById('told')!;
const asks = document.getElementById('asks')!;

function make<K extends keyof HTMLElementTagNameMap>(
  name: K,
  is: Partial<HTMLElementTagNameMap[K]>,
  ...inside: (Node | string)[]
): HTMLElementTagNameMap[K] {
  const element = Object.assign(document.createElement(name), is);
  element.append(...inside);
  return element;
}

/** A sentence, what belongs to it, and what can be done. The sentence is read out first. */
function show(sentence: string, lines: readonly Node[], act: readonly Node[]): void {
  says.textContent = sentence;
  told.replaceChildren(...lines);
  asks.replaceChildren(...act);
  says.focus();
}

const line = (text: string, className = ''): Node => make('p', { className }, text);
/** What plain HTTP cannot protect; on this computer nothing goes over a network. */
const honest = (): Node[] => (isHere ? [] : [line(words.PLAIN_HTTP, 'soft')]);

/** The fragment's token, once: it is gone from the address and the history afterwards. */
function takeToken(): string | null {
  const token = location.hash.slice(1);
  if (token === '') return null;
  history.replaceState(null, '', location.pathname);
  return token;
}

/** A whole link may be pasted where its code is asked for. */
const meant = (typed: string): string => typed.trim().split('#').at(-1)!;

function showForm(token: string | null, wrong = ''): void {
  const code = make('input', {
    id: 'code',
    className: 'code',
    autocomplete: 'one-time-code',
    autocapitalize: 'characters',
    spellcheck: false,
    required: true,
    maxLength: 200,
  });
  const isPhone = matchMedia('(pointer: coarse)').matches;
  const name = make('input', { id: 'name', maxLength: 40, value: isPhone ? words.PHONE : words.BROWSER });
  const button = make('button', {}, words.ASK);
  const complaint = make('p', { className: wrong === '' ? '' : 'wrong' }, wrong);
  complaint.setAttribute('role', 'alert');
  const typed = token === null ? [make('label', { htmlFor: 'code' }, isHere ? words.LINK : words.CODE), code] : [];
  const form = make(
    'form',
    { noValidate: true },
    ...typed,
    complaint,
    make('label', { htmlFor: 'name' }, words.NAME),
    name,
    button,
  );
  form.addEventListener('submit', event => {
    event.preventDefault();
    const secret = token ?? meant(code.value);
    if (secret === '') return code.focus();
    button.disabled = true;
    button.textContent = words.ASKING;
    void ask({ secret, name: name.value }).then(heard => {
      if (heard.ok) follow(heard.answer);
      else showForm(heard.says === null ? token : null, heard.says ?? words.NO_ANSWER);
    });
  });
  const why = isHere ? words.PASTE_LINK : words.TYPE_CODE;
  show(isHere ? words.LET_BROWSER : words.LET_IN, [line(token === null ? why : words.LET_IN_WHY)], [form, ...honest()]);
  if (wrong !== '' && token === null) code.focus();
}

function follow({ state, request = '', words: both = '', scope = '' }: PairAnswer): void {
  if (state === 'waiting') {
    if (told.querySelector('.words')?.textContent !== both)
      show(words.COMPARE, [line(both, 'words'), line(words.COMPARE_WHY)], honest());
    wait(request, PATIENCE);
  } else if (state === 'allowed') showAllowed(scope);
  else {
    const refused = state === 'refused';
    const again = make('button', { type: 'button' }, words.AGAIN);
    again.addEventListener('click', () => showForm(null));
    show(refused ? words.REFUSED : words.OVER, [line(refused ? words.REFUSED_WHY : words.OVER_WHY)], [again]);
  }
}

function wait(request: string, patience: number): void {
  setTimeout(() => {
    void ask({ request }).then((heard: Heard) => {
      if (heard.ok) follow(heard.answer);
      else if (patience > 0) wait(request, patience - 1);
      else show(words.OVER, [line(heard.says ?? words.NO_ANSWER, 'wrong')], []);
    });
  }, ASK_AGAIN_MS);
}

function showAllowed(scope: string): void {
  const warning = scope === 'change' && !isHere ? [line(words.PLAIN_HTTP_CHANGE, 'soft')] : [];
  const open = make('a', { className: 'main', href: '/' }, words.OPEN_PAGE);
  show(isHere ? words.HERE_ALLOWED : words.allowed(scope), [], [open, ...honest(), ...warning]);
  open.focus();
}

/** A link on wattkeep's own computer needs nobody's word: the browser is let in and goes on to the page. */
async function comeIn(token: string): Promise<void> {
  const heard = await ask({ secret: token, name: words.BROWSER });
  if (heard.ok && heard.answer.state === 'allowed') location.replace('/');
  else if (heard.ok) follow(heard.answer);
  else if (heard.says === null) show(words.NO_ANSWER, [], []);
  else show(words.LINK_OVER, [line(words.LINK_OVER_WHY)], []);
}

const CAME_BACK = 'wattkeep.came-back';
/**
 * Whoever follows a link of another site to a view comes without the cookie and is shown this page. From here the
 * cookie goes along: then the view is asked for once more.
 */
async function hasSession(): Promise<boolean> {
  if (location.pathname === '/pair' || sessionStorage.getItem(CAME_BACK) !== null) return false;
  const answer = await fetch('/api/session').catch(() => null);
  return answer?.ok === true;
}

addFonts(document);
const token = takeToken();
if (token !== null && isHere) void comeIn(token);
else if (token !== null) showForm(token);
else
  void hasSession().then(known => {
    if (!known) return showForm(null);
    sessionStorage.setItem(CAME_BACK, '1');
    location.reload();
  });
