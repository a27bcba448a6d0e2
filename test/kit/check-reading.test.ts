import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  API_VERSION,
  checkAdapter,
  checkReading,
  decodeStates,
  isRejection,
  manifestFault,
  printable,
  utf8,
} from '#kit';

describe("an adapter's answer", () => {
  it('is never trusted: whatever it is, what comes out is a plain reading or a counted rejection', () => {
    fc.assert(
      fc.property(fc.anything({ withBigInt: true, withNullPrototype: true, withSparseArray: true }), answer => {
        const checked = checkReading(answer);
        if (isRejection(checked)) expect(checked.detail.length).toBeLessThanOrEqual(120);
        else expect(JSON.parse(JSON.stringify(checked))).toEqual(checked);
      }),
    );
  });

  it('may doubt more than its values show, never less', () => {
    const good = { quantities: { inputPowerW: 1 }, states: {}, reasons: {} };
    expect(checkReading({ ...good, quality: 'uncertain' })).toMatchObject({ quality: 'uncertain' });
    const refused = { ...good, quantities: { inputPowerW: 1, outputPowerW: -5 }, quality: 'good' };
    expect(checkReading(refused)).toMatchObject({ quality: 'uncertain', reasons: { outputPowerW: 'outOfRange' } });
  });

  it('keeps its own reason for a value it left null', () => {
    const answer = { quantities: { inputPowerW: null, outputPowerW: 1 }, reasons: { inputPowerW: 'inconsistent' } };
    expect(checkReading(answer)).toMatchObject({ reasons: { inputPowerW: 'inconsistent' } });
  });

  it('counts an unknown cause of rejection as a fault of the adapter', () => {
    expect(checkReading({ rejected: 'mood', detail: '' })).toMatchObject({ rejected: 'adapterError' });
    expect(checkReading({ rejected: 'checksum', detail: 'x'.repeat(500) })).toMatchObject({ rejected: 'checksum' });
    expect(checkReading({ rejected: 'notJson', detail: Object.create(null) })).toEqual({
      rejected: 'notJson',
      detail: '',
    });
    expect(checkReading(Promise.resolve())).toMatchObject({ rejected: 'adapterError' });
  });
});

describe('states', () => {
  it('are closed words; what is not understood becomes unknown', () => {
    expect(decodeStates({ acOutletsOn: true, onMains: 'yes', inputSource: 'moon', inputLimitedBy: 'cold' })).toEqual({
      acOutletsOn: true,
      onMains: 'unknown',
      inputSource: 'unknown',
      inputLimitedBy: 'cold',
    });
    expect(decodeStates('on')).toEqual({});
    expect(decodeStates({ fault: ' fan\u0000stuck ', door: 'open' })).toEqual({ fault: 'fan·stuck' });
    expect(decodeStates({ fault: 'x'.repeat(200) }).fault).toHaveLength(80);
  });
});

describe('a manifest', () => {
  const manifest = {
    id: 'shed',
    title: 'Shed',
    version: '1',
    apiVersion: API_VERSION,
    transports: ['serial'],
    gives: ['inputPowerW'],
    intervalMs: 1000,
    maxFrameBytes: 100,
    maxReadingsPerS: 10,
  };

  it('is accepted when it keeps to the contract', () => {
    expect(manifestFault(manifest)).toBeNull();
  });

  it.each([
    [{ apiVersion: 2 }, /version 2 of the adapter contract, this agent has 1/],
    [{ id: 'Shed!' }, /manifest.id/],
    [{ gives: ['watts'] }, /manifest.gives/],
    [{ transports: ['telepathy'] }, /manifest.transports/],
    [{ intervalMs: 0 }, /manifest.intervalMs/],
    [{ maxFrameBytes: 1e6 }, /manifest.maxFrameBytes/],
    [{ maxReadingsPerS: 51 }, /manifest.maxReadingsPerS/],
    [{ onChangeOnly: false }, /manifest.onChangeOnly/],
    [{ title: '' }, /manifest.title/],
  ])('is refused in words its author can act on: %o', (change, words) => {
    expect(manifestFault({ ...manifest, ...change })).toMatch(words);
  });

  it('belongs to an object with an open function', () => {
    expect(checkAdapter(undefined)).toMatch(/default export/);
    expect(checkAdapter({ manifest })).toMatch(/open/);
    expect(checkAdapter({ open: () => null })).toMatch(/manifest/);
  });
});

describe('text for a detail', () => {
  it('is one printable line of bounded length', () => {
    expect(printable('a\u0000b\nc')).toBe('a·b·c');
    expect(printable('x'.repeat(300))).toHaveLength(120);
  });

  it('is read strictly: a byte that does not belong gives none', () => {
    expect(utf8(Uint8Array.of(0xff))).toBeNull();
    expect(utf8(Buffer.from('Ω'))).toBe('Ω');
  });
});
