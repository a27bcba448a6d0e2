/** What `doctor` says of a running agent, as it tells it itself; nothing where none runs or all is well. */
import { WattkeepError } from '#kit';
import { WireHealth } from '#messages';
import { agentOn } from './agent-client.ts';

export async function agentFinding(dataDir: string): Promise<{ state: 'note'; says: string }[]> {
  try {
    const { notes = [] } = await agentOn(dataDir).ask(WireHealth, '/api/health');
    return notes.map(says => ({ state: 'note', says }));
  } catch (error) {
    if (error instanceof WattkeepError) return [];
    throw error;
  }
}
