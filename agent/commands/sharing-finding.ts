/** What `doctor` says of sharing, as the running agent tells it: on which addresses, and for how many. */
import { WattkeepError } from '#kit';
import { SharingAnswer } from '#messages';
import { agentOn } from './agent-client.ts';
import { AGENT_RESTS, sharedFound } from './sharing-words.ts';

export async function sharingFinding(dataDir: string): Promise<{ state: 'well' | 'note'; says: string }> {
  try {
    const { on, addresses, trouble, sessions } = await agentOn(dataDir).ask(SharingAnswer, '/api/sharing');
    const unreached = on && addresses.length === 0;
    return { state: unreached ? 'note' : 'well', says: sharedFound(on, addresses, trouble, sessions.length) };
  } catch (error) {
    if (error instanceof WattkeepError) return { state: 'well', says: AGENT_RESTS };
    throw error;
  }
}
