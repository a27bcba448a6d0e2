/**
 * Splits a command line into options and words. Every option that takes a value takes it in both forms, `--name value`
 * and `--name=value`, negative numbers included; an unknown one is an error with the name it was probably meant to be.
 */
import { WattkeepError } from '#kit';
import { nearestName } from '#kit/nearest';

export interface ArgumentForm {
  /** Options with a value, without the dashes. */
  readonly values: readonly string[];
  /** Those of them that may be given more than once. */
  readonly repeatable?: readonly string[];
  /** Options whose value may be left out; then it is ''. */
  readonly optional?: readonly string[];
  /** Options that are there or not. */
  readonly switches: readonly string[];
}

export interface Arguments {
  /** Of each option given, its values in order. */
  readonly values: ReadonlyMap<string, readonly string[]>;
  readonly switches: ReadonlySet<string>;
  /** What is no option, in order; everything after a bare `--`. */
  readonly words: readonly string[];
}

const usage = (message: string, fix: string) => new WattkeepError('USAGE', message, fix);

/** @throws WattkeepError USAGE */
export function parseArguments(argv: readonly string[], form: ArgumentForm): Arguments {
  const values = new Map<string, string[]>();
  const switches = new Set<string>();
  const words: string[] = [];
  for (let i = 0; i < argv.length; i++) {
    const argument = argv[i]!;
    if (argument === '--') {
      words.push(...argv.slice(i + 1));
      break;
    }
    if (!argument.startsWith('--')) {
      words.push(argument);
      continue;
    }
    const equals = argument.indexOf('=');
    const name = argument.slice(2, equals < 0 ? undefined : equals);
    const given = equals < 0 ? undefined : argument.slice(equals + 1);
    if (form.switches.includes(name)) {
      if (isOn(name, given)) switches.add(name);
      else switches.delete(name);
    } else if (form.values.includes(name)) {
      const value = given ?? argv[++i];
      // `--data --host x` forgot a value; `--tilt -5` did not.
      if (value === undefined || value === '' || (given === undefined && value.startsWith('--'))) {
        throw usage(`--${name} needs a value.`, `Write --${name} VALUE or --${name}=VALUE.`);
      }
      keep(values, name, value, form.repeatable?.includes(name) === true);
    } else if (form.optional?.includes(name) === true) {
      const next = argv[i + 1];
      const follows = given === undefined && next !== undefined && !next.startsWith('--');
      if (follows) i++;
      keep(values, name, given ?? (follows ? next : ''), false);
    } else throw unknownOption(name, form);
  }
  return { values, switches, words };
}

function isOn(name: string, given: string | undefined): boolean {
  if (given === undefined || given === 'true') return true;
  if (given === 'false') return false;
  throw usage(`--${name}=${given.slice(0, 40)} is neither true nor false.`, `Write --${name} alone.`);
}

function keep(values: Map<string, string[]>, name: string, value: string, repeatable: boolean): void {
  const earlier = values.get(name) ?? [];
  if (earlier.length > 0 && !repeatable) throw usage(`--${name} is given twice.`, 'Give it once.');
  values.set(name, [...earlier, value]);
}

function unknownOption(name: string, form: ArgumentForm): WattkeepError {
  const known = [...form.values, ...(form.optional ?? []), ...form.switches];
  const near = nearestName(name, known);
  const meant = near === null ? '' : `Did you mean --${near}? `;
  const list = known.map(option => `--${option}`).join(', ');
  return usage(`--${name.slice(0, 40)} is not an option here.`, `${meant}Known here: ${list}.`);
}
