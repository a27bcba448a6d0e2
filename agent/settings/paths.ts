/**
 * Where settings and record live unless told otherwise: the XDG Base Directory Specification on Linux and, as command
 * line tools do, on macOS; the application folders on Windows.
 */
import { posix, win32 } from 'node:path';

export interface DefaultPaths {
  readonly settingsFile: string;
  readonly dataDir: string;
}

/**
 * @param platform as `process.platform`
 * @param home the account's home folder
 */
export function defaultPaths(
  platform: string,
  env: Readonly<Record<string, string | undefined>>,
  home: string,
): DefaultPaths {
  const { join, isAbsolute } = platform === 'win32' ? win32 : posix;
  // The specification: a path that is not absolute is to be ignored.
  const base = (name: string, ...fallback: string[]) => {
    const told = env[name];
    return told !== undefined && isAbsolute(told) ? told : join(home, ...fallback);
  };
  const windows = platform === 'win32';
  const config = windows ? base('APPDATA', 'AppData', 'Roaming') : base('XDG_CONFIG_HOME', '.config');
  const data = windows ? base('LOCALAPPDATA', 'AppData', 'Local') : base('XDG_DATA_HOME', '.local', 'share');
  return { settingsFile: join(config, 'wattkeep', 'settings.toml'), dataDir: join(data, 'wattkeep') };
}
