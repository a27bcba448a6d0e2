/** How much a session may: look, also mark spots and times, or change everything. Each holds the ones before it. */
export const SCOPES = ['view', 'mark', 'change'] as const;
export type Scope = (typeof SCOPES)[number];

/** True where `has` holds all that `needs` asks for. */
export const reaches = (has: Scope, needs: Scope): boolean => SCOPES.indexOf(has) >= SCOPES.indexOf(needs);
