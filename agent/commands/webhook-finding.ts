/** What `doctor` says of the webhook: all that ever leaves this computer by itself; its address without what may be a key in it. */
import { existsSync } from 'node:fs';
import { WattkeepError } from '#kit';
import type { Settings } from '#messages';
import { loadSettings } from '../settings/index.ts';
import { settingsPathOf } from './adapter-place.ts';
import { readSecret, secretPathOf } from './run/webhook/secret.ts';

/** Null where alarms are sent nowhere. */
export function webhookFinding(
  settingsFile: string | undefined,
  dataDir: string,
): { state: 'well' | 'wrong'; says: string } | null {
  const { webhook: url, webhookSecretFile } = alarmSettings(settingsFile);
  if (url === undefined) return null;
  if (!URL.canParse(url))
    return { state: 'wrong', says: 'The webhook’s address cannot be read. Mend it in the settings.' };
  const path = secretPathOf(dataDir, webhookSecretFile);
  const { origin } = new URL(url);
  try {
    // Made with the first alarm where the owner named none.
    if (webhookSecretFile !== undefined || existsSync(path)) readSecret(path, false);
    return { state: 'well', says: `alarms are sent to ${origin}, signed with what is in ${path}` };
  } catch (error) {
    if (error instanceof WattkeepError) return { state: 'wrong', says: `${origin}: ${error.message} ${error.fix}` };
    throw error;
  }
}

/** Settings that cannot be read are told of by themselves. */
function alarmSettings(file: string | undefined): NonNullable<Settings['alarm']> {
  try {
    return loadSettings(settingsPathOf(file)).settings.alarm ?? {};
  } catch (error) {
    if (error instanceof WattkeepError) return {};
    throw error;
  }
}
