import { describe, expect, it } from 'vitest';
import { whyHeld } from '../../agent/commands/containment-words.ts';
import { containment, containmentWith, permissionLeavesNetworkOpen } from '../../agent/host/containment.ts';

describe.runIf(process.platform === 'linux')('how far adapters can be contained', () => {
  it('is found out by doing it: a program that is there and fails is no space', () => {
    const { level, hindrance, detail } = containmentWith('/bin/false');
    expect([level, hindrance, detail]).toEqual([1, 'forbidden', 'it ended with 1']);
    expect(whyHeld(hindrance, detail)).toBe('bubblewrap is installed but may not be used here: it ended with 1.');
  });

  it('is level 1 without bubblewrap, and what to install is said', () => {
    const { level, hindrance, detail } = containmentWith(null);
    expect([level, hindrance]).toEqual([1, 'missing']);
    expect(whyHeld(hindrance, detail)).toMatch(/Install bubblewrap/);
  });

  it('is asked once', () => {
    expect(containment()).toBe(containment());
  });
});

it('the network is open under the permissions of Node 20 to 24', () => {
  expect(['20.20.2', '22.13.0', '24.1.0', '25.0.0', '26.2.1'].map(permissionLeavesNetworkOpen)).toEqual([
    true,
    true,
    true,
    false,
    false,
  ]);
});
