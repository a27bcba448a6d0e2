import { test } from 'vitest';
import { endAgents } from '../support/ended-agents.ts';

test(
  'an agent that is ended at sixty random moments ends cleanly each time and leaves one file',
  () => endAgents(60),
  1_200_000,
);
