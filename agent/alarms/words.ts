/**
 * What each alarm says, without figures: the page and a webhook's receiver put the values beside it. Every alarm says
 * why, what follows, what to do and how long there is; a test fails on one that does not.
 */
import type { AlarmKind } from '#messages';

export interface AlarmWords {
  readonly cause: string;
  readonly consequence: string;
  readonly act: string;
  /** How long there is to act. */
  readonly time: string;
}

export const ALARM_WORDS: Readonly<Record<AlarmKind, AlarmWords>> = {
  ending: {
    cause: 'Half an hour or less may be all that is left.',
    consequence: 'At its floor the reserve you set is all that is left; below it the outlets stop.',
    act: 'Leave off what can wait, or bring in power from the sun, a wall or a vehicle.',
    time: 'Half an hour from the call, perhaps less.',
  },
  quiet: {
    cause: 'What cycles has not drawn for three of its cycles.',
    consequence: 'If its outlet is off, what it keeps cold or dry no longer is.',
    act: 'Look at it: the outlets may have switched off.',
    time: 'A closed fridge keeps for about four hours, a full freezer for about two days.',
  },
  silent: {
    cause: 'No readings come, and something was drawing when the last one came.',
    consequence: 'Nothing is known of how long it lasts, and this time will be a gap in the record.',
    act: 'Look at the station itself, then at its cable or its Bluetooth.',
    time: 'Unknown; take the last promised time as the latest.',
  },
  overVolts: {
    cause: 'The volts at the input are within 5 % of what the port takes.',
    consequence: 'Volts above the limit can destroy the input in an instant, also with nothing plugged in.',
    act: 'Cover the panels, then unplug them; wire fewer in series.',
    time: 'Act now: a cold bright minute is enough.',
  },
  cold: {
    cause: 'The battery is being charged while it is close to freezing or below.',
    consequence: 'Charging lithium batteries below 0 °C harms them for good.',
    act: 'Stop charging, or bring the station to a warmer place first.',
    time: 'Minutes: the harm grows for as long as it is charged.',
  },
  fault: {
    cause: 'The station reports a fault or an overload.',
    consequence: 'It may switch its outlets off, or has done so.',
    act: 'Unplug what drew most, look at the station’s screen, and follow its manual. Smell, swelling or heat: keep away.',
    time: 'Act now: its cause may still be there.',
  },
  unsaved: {
    cause: 'Nothing is being saved.',
    consequence: 'Live values go on, and what is not saved becomes a gap in the record.',
    act: 'Make room on the disk, or see to it that it can be written to; saving then resumes by itself. If the record is damaged, start the agent again: it rescues what can be read.',
    time: 'About a quarter of an hour is held until then.',
  },
  clock: {
    cause: 'The clock of the computer that reads the station is wrong.',
    consequence: 'Times of what is recorded now may be off, and so are the hours that are promised.',
    act: 'Set its clock, or open this page on a device whose clock is right.',
    time: 'Today: what is recorded keeps the time it got.',
  },
};
