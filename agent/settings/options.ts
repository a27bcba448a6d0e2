/** How the agent was asked to run: flag before environment before settings file. */
import { WattkeepError } from '#kit';
import type { Settings } from '#messages';
import { parseArguments } from './arguments.ts';
import type { DefaultPaths } from './paths.ts';

/** What flags and environment say; undefined where neither says anything. */
export interface CommandLine {
  readonly data: string | undefined;
  readonly settings: string | undefined;
  readonly host: string | undefined;
  readonly port: number | undefined;
  /** The network to be shared on in this run: an interface, '' for the only one there is. */
  readonly lan: string | undefined;
  readonly noDemo: boolean;
  readonly version: boolean;
  readonly help: boolean;
}

export interface AgentOptions {
  readonly dataDir: string;
  readonly settingsFile: string;
  readonly host: string;
  readonly port: number;
  readonly lan: string | undefined;
  readonly demoAllowed: boolean;
}

type Environment = Readonly<Record<string, string | undefined>>;

/**
 * Reads flags and environment (`WATTKEEP_DATA`, `WATTKEEP_SETTINGS`, `WATTKEEP_HOST`, `WATTKEEP_PORT`,
 * `WATTKEEP_LAN`, `WATTKEEP_NO_DEMO`). An empty variable says nothing.
 *
 * @param argv without the program's own name
 * @throws WattkeepError USAGE
 */
export function readCommandLine(argv: readonly string[], env: Environment): CommandLine {
  const form = {
    values: ['data', 'settings', 'host', 'port'],
    optional: ['lan'],
    switches: ['no-demo', 'version', 'help'],
  };
  const { values, switches, words } = parseArguments(argv, form);
  if (words[0] !== undefined) {
    throw new WattkeepError('USAGE', `${words[0].slice(0, 40)} is not understood here.`, 'See --help.');
  }
  const said = (name: string): [text: string | undefined, source: string] => {
    const flag = values.get(name)?.[0];
    const variable = `WATTKEEP_${name.toUpperCase()}`;
    return flag === undefined ? [env[variable] || undefined, variable] : [flag, `--${name}`];
  };
  return {
    data: said('data')[0],
    settings: said('settings')[0],
    host: said('host')[0],
    port: portFrom(...said('port')),
    lan: lanFrom(values.get('lan')?.[0], env.WATTKEEP_LAN),
    noDemo: switches.has('no-demo') || isSet(env, 'WATTKEEP_NO_DEMO'),
    version: switches.has('version'),
    help: switches.has('help'),
  };
}

/** The settings file to read; known before anything in it. */
export const settingsFileOf = (line: CommandLine, paths: DefaultPaths): string => line.settings ?? paths.settingsFile;

export function resolveOptions(line: CommandLine, settings: Settings, paths: DefaultPaths): AgentOptions {
  return {
    dataDir: line.data ?? paths.dataDir,
    settingsFile: settingsFileOf(line, paths),
    host: line.host ?? settings.server.host,
    port: line.port ?? settings.server.port,
    lan: line.lan,
    demoAllowed: !line.noDemo,
  };
}

/** A variable of 1 stands for the flag alone. */
function lanFrom(flag: string | undefined, variable = ''): string | undefined {
  if (flag !== undefined) return flag;
  if (['', '0', 'false'].includes(variable)) return undefined;
  return ['1', 'true'].includes(variable) ? '' : variable;
}

function portFrom(text: string | undefined, source: string): number | undefined {
  if (text === undefined) return undefined;
  const port = /^\d{1,5}$/.test(text) ? Number(text) : Number.NaN;
  if (port <= 65_535) return port;
  throw new WattkeepError('USAGE', `${source} is ${text.slice(0, 40)}.`, 'Give a whole number from 0 to 65535.');
}

function isSet(env: Environment, name: string): boolean {
  const text = env[name] ?? '';
  if (['', '0', 'false'].includes(text)) return false;
  if (['1', 'true'].includes(text)) return true;
  throw new WattkeepError('USAGE', `${name} is ${text.slice(0, 40)}.`, 'Set it to 1 or 0.');
}
