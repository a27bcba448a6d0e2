/** Attacks on a shared agent, over an address that counts as a network's: sessions, pairing, and what each may. */
import { connect } from 'node:net';
import * as v from 'valibot';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { type PairAnswer, reaches, type Scope, Settings } from '#messages';
import { localName } from '../../agent/commands/run/lan.ts';
import { CHANGE_LIVES_MS } from '../../agent/sharing/sessions.ts';
import { type Elsewhere, PAIR_SHELL, SHELL, type Stage, stageServer, tapLive } from '../support/server-stage.ts';

/** For a machine that does much else. */
const LONG = { timeout: 30_000 };

let stage: Stage;
let yard: Elsewhere;
beforeEach(async () => {
  stage = await stageServer();
  yard = await stage.share();
});
afterEach(() => stage.close());

const TYPED = '/api/stations/shed/typed';
const typed = { inputPowerW: 1, outputPowerW: 1, stateOfChargePct: 1 };
const cookieOf = (token: string) => ({ cookie: `${stage.sharing.cookieName}=${token}` });
const session = (scope: 'view' | 'mark' | 'change') => cookieOf(stage.sharing.createToken('Phone', scope).token);
const pairAnswer = (body: string) => JSON.parse(body) as PairAnswer;

/** A phone that was let in by its code; its Cookie header. */
async function letIn(scope: 'view' | 'mark' | 'change' | null) {
  const { code } = stage.sharing.invite();
  const asked = pairAnswer((await yard.post('/pair', { secret: code, name: 'Phone' })).body);
  const [who] = stage.sharing.waiting();
  expect(who).toMatchObject({ name: 'Phone', address: '127.0.0.1', words: asked.words });
  stage.sharing.decide(who!.id, scope);
  const told = await yard.post('/pair', { request: asked.request });
  return { told: pairAnswer(told.body), cookie: told.headers['set-cookie']?.[0] };
}

// S01, S02
describe('a stranger on the network', () => {
  it('gets no data and no live socket, and learns not even which paths there are', async () => {
    const paths = [
      '/api/stations',
      '/api/stations/shed/now',
      '/api/health',
      '/api/settings',
      '/api/nowhere',
      '/api/sharing',
    ];
    const answers = await Promise.all(paths.map(path => yard.ask('GET', path)));
    expect(answers.map(({ status }) => status)).toEqual(paths.map(() => 401));
    expect(new Set(answers.map(({ body }) => body)).size).toBe(1);
    expect(answers[0]!.body).not.toMatch(/shed|Honey/);
    expect(await yard.open().status).toBe(401);
    expect(stage.server.clients()).toBe(0);
  });

  it('changes nothing', async () => {
    expect((await yard.post(TYPED, typed)).status).toBe(401);
    expect((await yard.ask('PUT', '/api/settings', {}, '{}')).status).toBe(403);
    expect(stage.told).toEqual([]);
  });

  it('finds the way to be let in at every address of the page, and its files', async () => {
    expect((await yard.ask('GET', '/')).body).toBe(PAIR_SHELL);
    expect((await yard.ask('GET', '/pair')).body).toBe(PAIR_SHELL);
    expect((await yard.ask('GET', '/app-1a2b.js')).status).toBe(200);
    expect((await yard.ask('GET', '/', session('view'))).body).toBe(SHELL);
    expect((await stage.get('/')).body).toBe(SHELL);
  });

  it('is told ok and nothing else of its health', async () => {
    const answer = await yard.ask('GET', '/healthz');
    expect([answer.status, answer.body]).toEqual([200, 'ok\n']);
  });

  it('is served under its own address and its name in the network alone, at its own port', async () => {
    const hosts = ['127.0.0.1', 'localhost', 'rebind.test', '127.0.0.2.evil.test', '127.0.0.2.'];
    for (const name of hosts)
      expect((await yard.ask('GET', '/', { host: `${name}:${stage.server.port}` })).status).toBe(421);
    expect((await yard.ask('GET', '/', { host: '127.0.0.2:1' })).status).toBe(421);
    expect((await yard.ask('GET', '/', { host: `${localName()}:${stage.server.port}` })).status).toBe(200);
    expect((await stage.get('/', { host: yard.host })).status).toBe(421);
  });

  it('holds five connections at most: one more puts the oldest out, and those with a session stay', async () => {
    const known = yard.open(session('view'));
    await known.until(m => m.type === 'hello');
    const gone: number[] = [];
    const sockets = Array.from({ length: 8 }, (_, i) => {
      const socket = connect(stage.server.port, '127.0.0.2');
      socket.on('error', () => socket.destroy());
      socket.on('close', () => gone.push(i));
      return socket;
    });
    await expect.poll(() => gone.length, LONG).toBe(3);
    known.subscribe();
    await known.until(m => m.type === 'status');
    expect(stage.server.refused().connections).toBe(3);
    // From this machine nothing of that is noticed.
    expect((await stage.get('/api/stations')).status).toBe(200);
    for (const socket of sockets) socket.destroy();
  });
});

/** What is told of questions: they change nothing. */
const READS = ['log', 'outlast', 'series', 'ledger', 'daysCsv', 'recording'];

describe('every route there is', () => {
  it('asks over the network for a session, for what it says it needs, and for this machine where it is meant for it', async () => {
    const api = JSON.parse((await stage.get('/api/openapi.json')).body) as {
      paths: Record<string, Record<string, { 'x-needs'?: 'view' | 'mark' | 'change'; 'x-here-only'?: true }>>;
    };
    const routes = Object.entries(api.paths).flatMap(([path, methods]) =>
      Object.entries(methods).map(([method, told]) => ({ path, method: method.toUpperCase(), told })),
    );
    expect(routes.length).toBeGreaterThan(35);
    const by = { view: session('view'), mark: session('mark'), change: session('change') };
    const page = { origin: `http://${yard.host}`, 'content-type': 'application/json', 'x-wattkeep': '1' };
    const found: string[] = [];
    const ask = async (route: (typeof routes)[number], cookie: Record<string, string>) => {
      const path = route.path.replace('{station}', 'shed').replace('{trial}', 'shed-usable-260601-ud238a');
      // A body that no route takes: whoever gets as far as that is told 400, and nothing was done.
      const answer = await yard.ask(
        route.method,
        path,
        { ...page, ...cookie },
        route.method === 'GET' ? undefined : '"honey"',
      );
      return [401, 403].includes(answer.status) ? answer.status : 'let in';
    };
    for (const route of routes) {
      const { 'x-needs': needs, 'x-here-only': hereOnly } = route.told;
      const answers = [await ask(route, {})];
      for (const scope of ['view', 'mark', 'change'] as const) answers.push(await ask(route, by[scope]));
      const reach = (scope: 'view' | 'mark' | 'change') =>
        hereOnly !== true && needs !== undefined && reaches(scope, needs) ? 'let in' : 403;
      const expected =
        needs === undefined ? Array(4).fill('let in') : [401, reach('view'), reach('mark'), reach('change')];
      if (answers.join() !== expected.join())
        found.push(`${route.method} ${route.path}: ${answers.join()} for ${expected.join()}`);
      if (needs === undefined) expect(['/pair', '/healthz']).toContain(route.path);
    }
    expect(found).toEqual([]);
    expect(stage.told.filter(([what]) => !READS.some(read => String(what).startsWith(read)))).toEqual([]);
  });

  it('is neither nearer by headers that only a proxy would set nor by a file’s name', async () => {
    const forwarded = {
      'x-forwarded-for': '127.0.0.1',
      'x-forwarded-host': `127.0.0.1:${stage.server.port}`,
      forwarded: 'for=127.0.0.1',
    };
    expect((await yard.ask('GET', '/api/stations', forwarded)).status).toBe(401);
    for (const path of ['/pair.html', '/manifest.json', '/unlisted.txt', '/..%2fdata%2fsharing.json'])
      expect((await yard.ask('GET', path)).status).toBe(404);
  });
});

// S03 to S08, S35
describe('a live socket with the cookie of a session', () => {
  it.each([
    'http://evil.test',
    'null',
    undefined,
    'http://127.0.0.2',
    'http://127.0.0.2:1',
    'http://localhost.evil.test',
    'http://127.0.0.2.evil.test',
    'http://127.0.0.2@evil.test',
    'HTTP://127.0.0.2',
  ])('is refused to a page of %s before any handshake', async origin => {
    expect(await tapLive(`ws://${yard.host}/live`, origin, session('change')).status).toBe(403);
  });

  it('is opened to its own page, greets with what the session may, and is not opened by a token in the address', async () => {
    const hello = await yard.open(session('mark')).until(m => m.type === 'hello');
    expect(hello).toMatchObject({ scope: 'mark' });
    const { token } = stage.sharing.createToken('Script', 'view');
    expect(await tapLive(`ws://${yard.host}/live?token=${token}`, `http://${yard.host}`).status).toBe(401);
    expect((await yard.ask('GET', `/api/stations?token=${token}`)).status).toBe(401);
  });

  it('tells the page of this machine that it looks, until its browser has a session', async () => {
    expect(await stage.open().until(m => m.type === 'hello')).toMatchObject({ scope: 'view' });
    expect(await stage.open({ cookie: stage.cookie }).until(m => m.type === 'hello')).toMatchObject({
      scope: 'change',
    });
  });
});

describe('a script with a token', () => {
  const bearer = (token: string) => ({ authorization: `Bearer ${token}` });

  it('needs no origin where it sends no cookie, and one where it does', async () => {
    const { token } = stage.sharing.createToken('Script', 'change');
    expect(await tapLive(`ws://${yard.host}/live`, undefined, bearer(token)).status).toBe(101);
    expect(await tapLive(`ws://${yard.host}/live`, undefined, { ...bearer(token), cookie: 'a=b' }).status).toBe(403);
    const script = { ...bearer(token), 'content-type': 'application/json', 'x-wattkeep': '1' };
    expect((await yard.ask('POST', TYPED, script, JSON.stringify(typed))).status).toBe(200);
    expect(
      (await yard.ask('POST', TYPED, { ...script, origin: 'http://evil.test' }, JSON.stringify(typed))).status,
    ).toBe(403);
    expect((await yard.ask('POST', TYPED, { ...script, cookie: 'a=b' }, JSON.stringify(typed))).status).toBe(403);
  });

  it.each(['Bearer wrong', `Bearer ${'A'.repeat(43)}`, 'Basic Og==', 'Bearer', ''])(
    'that is %j is refused, from this machine too',
    async authorization => {
      expect((await yard.ask('GET', '/api/stations', { authorization })).status).toBe(401);
      expect((await stage.get('/api/stations', { authorization })).status).toBe(401);
    },
  );
});

// S12 to S15, S38
describe('a change', () => {
  it('from this machine needs a session too, and says how to get one', async () => {
    const answer = await stage.change('POST', TYPED, typed, { cookie: '' });
    expect(answer.status).toBe(401);
    expect(JSON.parse(answer.body).error).toMatchObject({
      code: 'SESSION_NEEDED',
      fix: expect.stringContaining('pair --here'),
    });
    expect(stage.told).toEqual([]);
    expect((await stage.change('POST', TYPED, typed)).status).toBe(200);
  });

  it('by a session that may only look or mark is refused, logged, and not done', async () => {
    for (const scope of ['view', 'mark'] as const) {
      const answer = await yard.post(TYPED, typed, session(scope));
      expect([answer.status, JSON.parse(answer.body).error.code]).toEqual([403, 'SCOPE_NEEDED']);
    }
    expect(stage.told).toEqual([
      ['log warn', 'access', 'refused', expect.objectContaining({ path: '/api/stations/{station}/typed' })],
      ['log warn', 'access', 'refused', expect.anything()],
    ]);
  });

  it('by a session that may change is still held against origin, header and content type', async () => {
    const change = session('change');
    const refused = await Promise.all([
      yard.post(TYPED, typed, { ...change, origin: 'http://evil.test' }),
      yard.post(TYPED, typed, { ...change, origin: `http://127.0.0.2:1` }),
      yard.post(TYPED, typed, { ...change, 'x-wattkeep': '0' }),
      yard.post(TYPED, typed, { ...change, 'content-type': 'text/plain' }),
      yard.ask('GET', TYPED, change),
      yard.ask('OPTIONS', TYPED, { ...change, origin: 'http://evil.test' }),
    ]);
    expect(refused.map(({ status }) => status)).toEqual([403, 403, 403, 415, 405, 405]);
    expect(stage.told).toEqual([]);
    expect((await yard.post(TYPED, typed, change)).status).toBe(200);
  });

  it('over the network is over after 24 hours, and looking goes on', async () => {
    const { cookie } = await letIn('change');
    const phone = { cookie: cookie!.split(';')[0]! };
    const tap = yard.open(phone);
    expect(await tap.until(m => m.type === 'hello')).toMatchObject({ scope: 'change' });
    expect((await yard.post(TYPED, typed, phone)).status).toBe(200);
    stage.clock.advance(CHANGE_LIVES_MS + 1);
    expect((await yard.post(TYPED, typed, phone)).status).toBe(403);
    expect((await yard.ask('GET', '/api/stations', phone)).status).toBe(200);
  });

  it('of who may come in is taken on this machine alone', async () => {
    const change = session('change');
    const paths = ['', '/invitation', '/here-link', '/tokens', '/revoke', '/decision', '/unlock'];
    for (const path of paths) expect((await yard.post(`/api/sharing${path}`, {}, change)).status).toBe(403);
    expect((await yard.ask('GET', '/api/sharing', change)).status).toBe(403);
    expect((await stage.get('/api/sharing', { cookie: stage.cookie })).status).toBe(200);
    expect((await stage.get('/api/sharing')).status).toBe(401);
  });
});

describe('a change over the network, by a session that may make it,', () => {
  const station = (transport: object) => ({ id: 'shed', name: 'Honey shed', transport });
  const put = (settings: object, from: 'yard' | 'here') => {
    const page = { 'content-type': 'application/json', 'x-wattkeep': '1' };
    const body = JSON.stringify(settings);
    return from === 'here'
      ? stage.change('PUT', '/api/settings', settings)
      : yard.ask('PUT', '/api/settings', { ...page, origin: `http://${yard.host}`, ...session('change') }, body);
  };
  const program = { kind: 'process', command: ['/bin/sh', '-c', 'echo taken over'] };
  const part = (name: string, gives: string[], transport: object) => ({ name, gives, transport });
  const METERS = [
    part('Meter', ['inputPowerW'], program),
    part('Screen', ['outputPowerW', 'stateOfChargePct'], { kind: 'typed' }),
  ];
  const reaching = [
    { station: [station(program)] },
    {
      station: [station({ kind: 'parts', part: METERS })],
    },
    { server: { host: '0.0.0.0' } },
    { server: { lan: 'eth0' } },
    { server: { port: 80 } },
  ];

  it.each(reaching)('starts no program and opens no other address: %j', async settings => {
    const answer = await put(settings, 'yard');
    expect([answer.status, JSON.parse(answer.body).error.code]).toEqual([403, 'SCOPE_NEEDED']);
    expect(stage.told.filter(([what]) => what === 'put')).toEqual([]);
    expect((await put(settings, 'here')).status).toBe(200);
  });

  it('changes all else, and leaves the programs as they are', async () => {
    expect((await put({ station: [station({ kind: 'typed' })] }, 'yard')).status).toBe(200);
    const known = v.parse(Settings, { station: [station(program)] });
    await stage.close();
    stage = await stageServer({
      settings: { get: () => ({ settings: known, revision: 'r' }), put: s => ({ settings: s, revision: 'r2' }) },
    });
    yard = await stage.share();
    expect((await put({ station: [{ ...station(program), ratedWh: 900 }] }, 'yard')).status).toBe(200);
    expect((await put({ station: [station({ ...program, command: ['/bin/sh'] })] }, 'yard')).status).toBe(403);
  });

  it('lets no adapter run', async () => {
    const shown = { file: 'hive.ts', sha256: '0'.repeat(64) };
    expect((await yard.post('/api/own-adapters/approve', shown, session('change'))).status).toBe(403);
    expect((await stage.change('POST', '/api/own-adapters/approve', shown)).status).toBe(200);
  });
});

describe('a phone that asks to be let in', () => {
  it('is let in as far as the owner says, with a cookie that no script of a page can read', async () => {
    const { told, cookie } = await letIn('view');
    expect(told).toEqual({ state: 'allowed', scope: 'view' });
    expect(cookie).toMatch(/^wattkeep-[0-9a-f]{8}=[\w-]{43}; Max-Age=\d+; Path=\/; HttpOnly; SameSite=Strict$/);
    const phone = { cookie: cookie!.split(';')[0]! };
    expect((await yard.ask('GET', '/api/session', phone)).body).toBe('{"scope":"view","name":"Phone"}');
  });

  it('gets nothing where the owner says no, or nothing in time', async () => {
    expect(await letIn(null)).toEqual({ told: { state: 'refused' }, cookie: undefined });
    const { code } = stage.sharing.invite();
    const { request } = pairAnswer((await yard.post('/pair', { secret: code, name: '' })).body);
    stage.clock.advance(300_001);
    expect(pairAnswer((await yard.post('/pair', { request })).body)).toEqual({ state: 'over' });
  });

  it('is not let in by a link that was made for this machine', async () => {
    const { token } = stage.sharing.linkHere();
    expect((await yard.post('/pair', { secret: token, name: '' })).status).toBe(403);
    expect((await stage.change('POST', '/pair', { secret: token, name: '' }, { cookie: '' })).status).toBe(200);
  });

  it('cannot be made to ask by a page of a foreign site', async () => {
    const { code } = stage.sharing.invite();
    for (const headers of [{ origin: 'http://evil.test' }, { 'content-type': 'text/plain' }, { 'x-wattkeep': '' }])
      expect(
        (await yard.post('/pair', { secret: code, name: '' }, headers as Record<string, string>)).status,
      ).toBeGreaterThanOrEqual(403);
    expect(stage.sharing.waiting()).toEqual([]);
    expect(stage.sharing.failures()).toBe(0);
  });
});

// S31 to S33
describe('guessing a code', () => {
  it('kills it at the fifth wrong try: the right one then fails as well, and says the same', async () => {
    const { code } = stage.sharing.invite();
    const bodies = new Set<string>();
    for (let i = 0; i < 6; i++) {
      const wrong = await yard.post('/pair', { secret: `0000000${i}`, name: '' });
      expect(wrong.status).toBe(403);
      bodies.add(wrong.body);
    }
    const right = await yard.post('/pair', { secret: code, name: '' });
    expect(right.status).toBe(403);
    expect(bodies).toEqual(new Set([right.body]));
  });

  it('evaluates five of two hundred guesses that come at once, and serves the owner meanwhile', async () => {
    const { code } = stage.sharing.invite();
    const guesses = Array.from({ length: 200 }, (_, i) =>
      yard.post('/pair', { secret: `WRNG${String(i).padStart(4, '0')}`, name: '' }).then(
        ({ status }) => status,
        // More connections of strangers at once than there may be.
        () => 0,
      ),
    );
    const owner = stage.get('/api/stations');
    const statuses = await Promise.all(guesses);
    expect(statuses.filter(status => status !== 403 && status !== 0)).toEqual([]);
    expect(stage.sharing.failures()).toBe(5);
    expect((await yard.post('/pair', { secret: code, name: '' })).status).toBe(403);
    expect(stage.sharing.waiting()).toEqual([]);
    expect((await owner).status).toBe(200);
  });

  it('a used or an old code opens nothing', async () => {
    const { code } = stage.sharing.invite();
    expect((await yard.post('/pair', { secret: code.toLowerCase(), name: '' })).status).toBe(200);
    expect((await yard.post('/pair', { secret: code, name: '' })).status).toBe(403);
    const later = stage.sharing.invite();
    stage.clock.advance(300_001);
    expect((await yard.post('/pair', { secret: later.code, name: '' })).status).toBe(403);
    expect((await yard.post('/pair', { secret: later.token, name: '' })).status).toBe(403);
  });

  it('is locked after a hundred wrong tries until the owner unlocks it', async () => {
    for (let i = 0; i < 100; i++) {
      if (i % 15 === 0) stage.clock.advance(3_600_001);
      if (i % 5 === 0) stage.sharing.invite();
      await yard.post('/pair', { secret: `0000000${i}`, name: '' });
    }
    const locked = await yard.post('/pair', { secret: '00000000', name: '' });
    expect([locked.status, JSON.parse(locked.body).error.code]).toEqual([429, 'PAIRING_LOCKED']);
    expect((await stage.change('POST', '/api/sharing/invitation', {})).status).toBe(429);
    expect((await stage.change('POST', '/api/sharing/unlock', {})).status).toBe(200);
    expect((await stage.change('POST', '/api/sharing/invitation', {})).status).toBe(200);
  });

  it.each([{}, { secret: '' }, { secret: 'x'.repeat(65) }, { secret: 1 }, { secret: 'a', extra: 1 }, [], 'text'])(
    'takes %j for no try at all',
    async body => {
      stage.sharing.invite();
      expect((await yard.post('/pair', body)).status).toBe(400);
      expect(stage.sharing.failures()).toBe(0);
    },
  );
});

// S37
describe('a session that is ended', () => {
  it('loses its sockets within a second and is refused from then on; others notice nothing', async () => {
    const phone = stage.sharing.createToken('Phone', 'view');
    const tap = yard.open(cookieOf(phone.token));
    const other = yard.open(session('view'));
    for (const one of [tap, other]) {
      await one.until(m => m.type === 'hello');
      one.subscribe();
      await one.until(m => m.type === 'status');
    }
    expect((await stage.change('POST', '/api/sharing/revoke', { session: phone.id })).status).toBe(200);
    // A client that does not answer the goodbye is cut off after this.
    stage.clock.advance(1_000);
    expect((await tap.closed).code).toBe(1008);
    expect((await yard.ask('GET', '/api/stations', cookieOf(phone.token))).status).toBe(401);
    expect(await yard.open(cookieOf(phone.token)).status).toBe(401);
    await other.roundTrip();
    expect(stage.server.clients()).toBe(1);
  });

  it('cannot say anything more on a socket that is still open', async () => {
    let scope: Scope | null = 'view';
    const found = { id: 'p', name: 'Phone', scope: 'view' as const };
    // Its end is told to nobody: it is looked up at every message all the same.
    const sessions = { cookieName: 'c', find: () => found, scopeOf: () => scope, onEnded: () => undefined };
    const quiet = await stageServer({ sessions });
    const tap = quiet.open({ cookie: `c=${'A'.repeat(43)}` });
    await tap.until(m => m.type === 'hello');
    scope = null;
    tap.subscribe();
    expect((await tap.closed).code).toBe(1008);
    expect(tap.got.map(m => m.type)).toEqual(['hello']);
    expect(quiet.server.refused()).toEqual({ session: 1 });
    await quiet.close();
  });

  it('can be ended by its own browser', async () => {
    const phone = session('view');
    const left = await yard.post('/api/session/end', {}, phone);
    expect(left.headers['set-cookie']?.[0]).toMatch(/Max-Age=0/);
    expect((await yard.ask('GET', '/api/stations', phone)).status).toBe(401);
  });

  it('goes with all others where sharing is switched off, and this machine goes on', async () => {
    const tap = yard.open(session('view'));
    await tap.until(m => m.type === 'hello');
    const here = stage.open();
    await here.until(m => m.type === 'hello');
    expect((await stage.change('POST', '/api/sharing', { on: false })).status).toBe(200);
    stage.clock.advance(1_000);
    await tap.closed;
    await expect(yard.ask('GET', '/')).rejects.toThrow(/ECONNREFUSED/);
    await here.roundTrip();
    expect((await stage.get('/api/stations')).status).toBe(200);
  });
});

describe('one session', () => {
  it('holds eight live sockets at most', async () => {
    const phone = session('view');
    const taps = Array.from({ length: 8 }, () => yard.open(phone));
    expect(await Promise.all(taps.map(tap => tap.status))).toEqual(Array(8).fill(101));
    expect(await yard.open(phone).status).toBe(503);
    expect(await yard.open(session('view')).status).toBe(101);
  });
});
