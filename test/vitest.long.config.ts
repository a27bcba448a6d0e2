import { mergeConfig } from 'vitest/config';
import base from './vitest.config.ts';

// The loops that take minutes: many kills, many seeds, a long soak.
const config = mergeConfig(base, { test: { testTimeout: 1_200_000, hookTimeout: 120_000 } });
config.test!.include = ['test/long/**/*.test.ts'];
config.test!.exclude = [];
delete config.test!.projects;
export default config;
