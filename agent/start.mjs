#!/usr/bin/env node
/** Builds what is stale, then hands over to the program. Every command line verb comes in by this door. */
import { build } from './build.mjs';

if (await build()) await import('../dist/agent/main.js');
else process.exitCode = 1;
