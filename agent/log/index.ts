/** The agent's log. */
export * from './log.ts';
