/**
 * The agent of one account for launchd: launchd.plist(5), from memory, never tried on a Mac by a test here. Started at
 * login and again after a failure; launchd has no watchdog.
 */
import type { Remark } from './seal.ts';
import { sealed } from './seal.ts';

export const LABEL = 'wattkeep.agent';
export const PLIST_REMARK: Remark = ['<!-- ', ' -->'];

const xml = (text: string): string => text.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('>', '&gt;');
const plain = (text: string): string => text.replaceAll('&lt;', '<').replaceAll('&gt;', '>').replaceAll('&amp;', '&');

/** @param command absolute paths and arguments */
export function plistText(command: readonly string[]): string {
  const text = `<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE plist PUBLIC "-//Apple//DTD PLIST 1.0//EN" "http://www.apple.com/DTDs/PropertyList-1.0.dtd">
<plist version="1.0">
<dict>
  <key>Label</key>
  <string>${LABEL}</string>
  <key>ProgramArguments</key>
  <array>
${command.map(word => `    <string>${xml(word)}</string>`).join('\n')}
  </array>
  <key>RunAtLoad</key>
  <true/>
  <key>KeepAlive</key>
  <dict>
    <key>SuccessfulExit</key>
    <false/>
  </dict>
  <key>ExitTimeOut</key>
  <integer>20</integer>
  <key>Umask</key>
  <integer>63</integer>
</dict>
</plist>
`;
  return sealed(text, PLIST_REMARK);
}

/** The program's words again; empty where there are none. */
export function programOf(plist: string): string[] {
  const [, array = ''] = /<key>ProgramArguments<\/key>\s*<array>(.*?)<\/array>/s.exec(plist) ?? [];
  return [...array.matchAll(/<string>(.*?)<\/string>/gs)].map(([, word]) => plain(word!));
}
