/**
 * Tells an address of the owner's of alarms, where the settings name one; off otherwise. What it needs is loaded with
 * the first alarm that is sent.
 */
import { type Timers, WattkeepError } from '#kit';
import type { Settings } from '#messages';
import type { Log } from '../../../log/log.ts';
import type { AlarmNews } from '../alarming.ts';
import { alarmEvent } from './event.ts';
import { createOutbox } from './outbox.ts';
import { readSecret, secretPathOf } from './secret.ts';

export interface WebhookParts {
  readonly dataDir: string;
  readonly version: string;
  readonly timers: Timers;
  readonly log: Pick<Log, 'warn'>;
  readonly newId: () => string;
  readonly nowMs: () => number;
}

export interface Webhook {
  /** As the settings say from now on. */
  follow(settings: Pick<Settings, 'alarm'>): void;
  tell(news: AlarmNews): void;
  /** Why the last alarm that was sent was not taken; null where it was, or none was sent. */
  trouble(): string | null;
  close(): void;
}

export function createWebhook(parts: WebhookParts): Webhook {
  const { dataDir, log } = parts;
  const stopping = new AbortController();
  let told: Settings['alarm'];
  let trouble: string | null = null;
  const complain = (why: string, tries?: number) => {
    trouble = why;
    log.warn('webhook', 'an alarm was not delivered', { why, ...(tries === undefined ? {} : { tries }) });
  };
  const outbox = createOutbox({
    timers: parts.timers,
    onLost: complain,
    async send({ body }) {
      const url = told?.webhook;
      // Taken out of the settings meanwhile.
      if (url === undefined) return null;
      const { post } = await import('./post.ts');
      try {
        const secret = readSecret(
          secretPathOf(dataDir, told?.webhookSecretFile),
          told?.webhookSecretFile === undefined,
        );
        const userAgent = `wattkeep/${parts.version}`;
        const why = await post({ url, secret, body, userAgent }, parts.timers, stopping.signal);
        if (why === null) trouble = null;
        return why;
      } catch (error) {
        if (error instanceof WattkeepError) return `${error.message} ${error.fix}`;
        throw error;
      }
    },
  });
  return {
    follow(settings) {
      told = settings.alarm;
    },
    tell({ called, cleared }) {
      if (told?.webhook === undefined) return;
      const at = parts.nowMs();
      if (called.length > 0) outbox.add(alarmEvent('raised', called, parts.newId(), at));
      if (cleared.length > 0) outbox.add(alarmEvent('cleared', cleared, parts.newId(), at));
    },
    trouble: () => (told?.webhook === undefined ? null : trouble),
    close() {
      outbox.close();
      stopping.abort();
    },
  };
}
