import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, statSync, symlinkSync, unlinkSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { escapeText, formatLine, redact } from '../../agent/log/line.ts';
import { createLog, LOG_FILE, type LogOptions } from '../../agent/log/log.ts';
import { needsDevFull } from '../support/dev-full.ts';

const AT = Date.UTC(2026, 5, 21, 12);
let dir: string;
beforeEach(() => {
  dir = mkdtempSync(join(tmpdir(), 'wattkeep-log-'));
});
afterEach(() => rmSync(dir, { recursive: true, force: true }));

const open = (over: Partial<LogOptions> = {}) => createLog({ dir, level: 'info', now: () => AT, ...over });
const lines = (name = LOG_FILE) => readFileSync(join(dir, name), 'utf8').split('\n').slice(0, -1);

describe('the log', () => {
  it('writes one line an event: time, level, area, message, fields', () => {
    const log = open();
    log.info('link', 'the cable is back', { station: 'shed', attempt: 2, port: 'a b' });
    log.error('http', 'a request failed');
    expect(lines()).toEqual([
      '2026-06-21T12:00:00.000Z info link the cable is back station=shed attempt=2 port="a b"',
      '2026-06-21T12:00:00.000Z error http a request failed',
    ]);
  });

  it('leaves out what is less important than its level', () => {
    const log = open({ level: 'warn' });
    log.debug('a', 'x');
    log.info('a', 'x');
    log.warn('a', 'kept');
    expect(lines()).toHaveLength(1);
  });

  it('also goes where it is told, line by line', () => {
    const seen: string[] = [];
    open({ alsoTo: line => seen.push(line) }).warn('a', 'b');
    expect(seen).toEqual(['2026-06-21T12:00:00.000Z warn a b\n']);
  });

  it('is readable by its owner alone', () => {
    const inner = join(dir, 'logs');
    open({ dir: inner }).info('a', 'b');
    expect(statSync(join(inner, LOG_FILE)).mode & 0o777).toBe(0o600);
    expect(statSync(inner).mode & 0o777).toBe(0o700);
  });

  it('keeps so many files of so many bytes, the newest lines in the first', () => {
    const log = open({ maxBytes: 200, keep: 3 });
    for (let i = 0; i < 40; i++) log.info('a', `line ${i}`);
    expect(readdirSync(dir).sort()).toEqual([LOG_FILE, `${LOG_FILE}.1`, `${LOG_FILE}.2`]);
    const kept = [`${LOG_FILE}.2`, `${LOG_FILE}.1`, LOG_FILE].flatMap(name => lines(name));
    for (const name of readdirSync(dir)) expect(statSync(join(dir, name)).size).toBeLessThanOrEqual(200);
    const first = 40 - kept.length;
    expect(kept.map(l => l.slice(-7).trim().split(' ').at(-1))).toEqual(
      Array.from({ length: kept.length }, (_, i) => String(first + i)),
    );
  });

  it('goes on where an earlier run stopped', () => {
    const first = open();
    first.info('a', 'one');
    first.close();
    first.close();
    open().info('a', 'two');
    expect(lines()).toHaveLength(2);
  });

  it('survives the removal of its folder', () => {
    const log = open({ dir: join(dir, 'gone') });
    log.info('a', 'one');
    rmSync(join(dir, 'gone'), { recursive: true });
    log.close();
    log.info('a', 'two');
    expect(existsSync(join(dir, 'gone', LOG_FILE))).toBe(true);
  });

  needsDevFull('never throws on a full disk, counts what it lost, and says so when it can write again', () => {
    symlinkSync('/dev/full', join(dir, LOG_FILE));
    const log = open();
    for (let i = 0; i < 3; i++) log.info('a', `lost ${i}`);
    expect(log.dropped()).toBe(3);
    unlinkSync(join(dir, LOG_FILE));
    log.info('a', 'heard');
    expect(log.dropped()).toBe(0);
    expect(lines()).toEqual([
      '2026-06-21T12:00:00.000Z warn log lines could not be written lines=3',
      '2026-06-21T12:00:00.000Z info a heard',
    ]);
  });
});

describe('a line', () => {
  it('cannot be forged by what it quotes', () => {
    const forged = 'x\n2026-01-01T00:00:00.000Z error admin "all gone\u001b[31m\u202e\u2028';
    expect(formatLine(AT, 'info', 'link', forged, { detail: forged })).toBe(
      '2026-06-21T12:00:00.000Z info link x\\n2026-01-01T00:00:00.000Z error admin "all gone\\u{1b}[31m\\u{202e}\\u{2028}' +
        ' detail="x\\n2026-01-01T00:00:00.000Z error admin \\"all gone\\u{1b}[31m\\u{202e}\\u{2028}"',
    );
  });

  it('stays one printable line whatever it is given', () => {
    fc.assert(
      fc.property(fc.string({ unit: 'binary' }), fc.string({ unit: 'binary' }), (message, detail) => {
        const line = formatLine(AT, 'info', 'a', message, { detail });
        expect(line).not.toMatch(/[\p{Cc}\p{Zl}\p{Zp}]/u);
      }),
    );
  });

  it('leaves secrets out', () => {
    expect(redact('GET /api/stations?token=abc&x=1 HTTP/1.1')).toBe('GET /api/stations?[left out] HTTP/1.1');
    expect(redact('Authorization: Bearer abc')).toBe('Authorization: [left out]');
    expect(redact('cookie=a=1; b=2')).toBe('cookie=[left out]');
    expect(redact('what now? a = b')).toBe('what now? a = b');
    const line = formatLine(AT, 'info', 'http', 'asked', {
      cookie: 'abc',
      headers: { authorization: 'abc', host: 'localhost' },
    });
    expect(line).not.toContain('abc');
    expect(line).toContain('localhost');
  });

  it('is cut where it would be endless', () => {
    expect(formatLine(AT, 'info', 'a', 'x'.repeat(1e6)).length).toBeLessThan(9000);
  });

  it('writes an error with its stack', () => {
    expect(formatLine(AT, 'error', 'a', 'b', { error: new Error('broke') })).toContain('Error: broke\\n');
  });

  it('leaves ordinary text in any language as it is', () => {
    expect(escapeText('Bienenhaus – 12 °C, 蜂蜜')).toBe('Bienenhaus – 12 °C, 蜂蜜');
  });
});
