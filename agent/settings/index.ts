/** The settings file, the command line of the agent, and where things live. */
export * from './arguments.ts';
export * from './file.ts';
export * from './options.ts';
export * from './paths.ts';
export { SettingsError } from './read.ts';
