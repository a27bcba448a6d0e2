/**
 * The secret that a webhook is signed with: in a file of the owner's, or made once and kept in the data folder for its
 * owner alone. Never in settings, arguments or log.
 */
import { randomBytes } from 'node:crypto';
import { readFileSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { WattkeepError } from '#kit';

const LEAST_CHARACTERS = 16;

export const secretPathOf = (dataDir: string, told: string | undefined): string =>
  told ?? join(dataDir, 'webhook-secret');

/**
 * @param make begins one where there is none; never in a place the owner named
 * @throws WattkeepError SETTINGS_VALUE where it is missing, too short or open to others
 */
export function readSecret(path: string, make: boolean): string {
  if (make) makeOnce(path);
  const { mode, text } = look(path);
  // Windows tells no such bits.
  if (process.platform !== 'win32' && (mode & 0o077) !== 0)
    throw refused(`${path} can be read by others`, `Run: chmod 600 ${path}`);
  const secret = text.trim();
  if (secret.length < LEAST_CHARACTERS)
    throw refused(`${path} holds fewer than ${LEAST_CHARACTERS} characters`, 'Put a longer secret there.');
  return secret;
}

function makeOnce(path: string): void {
  try {
    writeFileSync(path, `${randomBytes(32).toString('base64url')}\n`, { mode: 0o600, flag: 'wx' });
  } catch (cause) {
    if ((cause as NodeJS.ErrnoException).code !== 'EEXIST')
      throw refused(`${path} cannot be written`, 'Look at its folder.');
  }
}

function look(path: string): { mode: number; text: string } {
  try {
    return { mode: statSync(path).mode, text: readFileSync(path, 'utf8') };
  } catch {
    throw refused(
      `${path} cannot be read`,
      'Make it, with a secret of your own in it, or take webhookSecretFile away.',
    );
  }
}

const refused = (what: string, fix: string) =>
  new WattkeepError('SETTINGS_VALUE', `The webhook is not used: ${what}.`, fix);
