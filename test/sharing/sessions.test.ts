import { describe, expect, it } from 'vitest';
import { digestOf } from '../../agent/sharing/secrets.ts';
import { CHANGE_LIVES_MS, SESSION_LIVES_MS, type Session, scopeNow, sessionOf } from '../../agent/sharing/sessions.ts';

const session = (over: Partial<Session> = {}): Session => ({
  id: 's1',
  kind: 'browser',
  name: 'Phone',
  scope: 'view',
  here: false,
  digest: digestOf('secret'),
  madeAt: 0,
  lastSeenAt: 0,
  lastAddress: '192.0.2.9',
  ...over,
});

describe('a session', () => {
  it('is over when nobody used it for 90 days, and each use starts them anew', () => {
    expect(scopeNow(session(), 'network', SESSION_LIVES_MS)).toBe('view');
    expect(scopeNow(session(), 'network', SESSION_LIVES_MS + 1)).toBeNull();
    expect(scopeNow(session({ lastSeenAt: SESSION_LIVES_MS }), 'network', SESSION_LIVES_MS + 1)).toBe('view');
  });

  it('changes things over a network for 24 hours after it was made, used or not, and looks from then on', () => {
    const may = session({ scope: 'change', lastSeenAt: CHANGE_LIVES_MS });
    expect(scopeNow(may, 'network', CHANGE_LIVES_MS)).toBe('change');
    expect(scopeNow(may, 'network', CHANGE_LIVES_MS + 1)).toBe('view');
    expect(scopeNow(may, 'loopback', CHANGE_LIVES_MS + 1)).toBe('change');
  });

  it('marks as long as it looks', () => {
    expect(scopeNow(session({ scope: 'mark', lastSeenAt: SESSION_LIVES_MS }), 'network', SESSION_LIVES_MS)).toBe(
      'mark',
    );
  });

  it('that was made on this computer for it is worth nothing over a network, and lasts there', () => {
    const here = session({ scope: 'change', here: true, lastSeenAt: 30 * CHANGE_LIVES_MS });
    expect(scopeNow(here, 'network', 1)).toBeNull();
    expect(scopeNow(here, 'loopback', 60 * CHANGE_LIVES_MS)).toBe('change');
  });

  it('is found by its own secret alone', () => {
    const known = [session({ id: 'a', digest: digestOf('a') }), session({ id: 'b', digest: digestOf('b') })];
    expect(sessionOf(known, digestOf('b'))?.id).toBe('b');
    expect(sessionOf(known, digestOf('c'))).toBeNull();
    expect(sessionOf(known, known[0]!.digest)?.id).toBe('a');
  });
});
