/**
 * What somebody in the shed does with plugs and buttons: pulls the shed's own loads, plugs in a steady one, takes the
 * panels off the port, switches the AC outlets. All of it stands until the next word. Watts.
 */
import type { Plug } from './load.ts';

/** The AC outlets: as the owner's habits have them, or as a hand left them. */
export type Switched = 'habit' | 'on' | 'off';

export interface ByHand {
  /** The shed's own loads are plugged in. */
  household: boolean;
  /** The panels are plugged into the port. */
  panels: boolean;
  outlets: Switched;
  /** A steady load at each side, W; 0: none. */
  readonly steadyW: Record<Plug, number>;
}

export const handsOff = (): ByHand => ({ household: true, panels: true, outlets: 'habit', steadyW: { ac: 0, dc: 0 } });

/** What is drawn then, of what the shed's own loads would. */
export function drawnByHand(
  { household, steadyW }: ByHand,
  own: { readonly acW: number; readonly dcW: number },
  on: { readonly ac: boolean; readonly dc: boolean },
): { acW: number; dcW: number } {
  return {
    acW: (household ? own.acW : 0) + (on.ac ? steadyW.ac : 0),
    dcW: (household ? own.dcW : 0) + (on.dc ? steadyW.dc : 0),
  };
}
