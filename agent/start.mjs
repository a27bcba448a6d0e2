#!/usr/bin/env node
/** Builds what is stale, then hands over to the program. Every command line verb comes in by this door. */
import { ensureBuilt } from './build.mjs';

if (ensureBuilt()) await import('../dist/program/main.js');
else process.exitCode = 1;
