/** Adapters that an owner wrote: found, made, shown, approved. */
export { createBundler } from './bundle.ts';
export { watchFolders } from './folder-watch.ts';
export { scaffold } from './scaffold.ts';
export { lookAtFolder, openShelf } from './shelf.ts';
export { readSource } from './source-file.ts';
export type * from './terms.ts';
