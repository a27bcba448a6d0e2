/** A page that looks at the aiming of one station: subscribes, acknowledges what it was shown, checks every message. */
import * as v from 'valibot';
import { WebSocket } from 'ws';
import { PROTOCOL_VERSION, ServerMessage, WireAim } from '#messages';

export interface AimWatcher {
  /** The newest message, and how many came. */
  newest(): WireAim | null;
  count(): number;
  /** The first message from now on that fits. */
  until(fits: (aim: WireAim) => boolean): Promise<WireAim>;
  close(): void;
}

/** @param agentUrl `http://127.0.0.1:PORT/` */
export function watchAim(agentUrl: string, station: string): AimWatcher {
  const { origin, host } = new URL(agentUrl);
  const socket = new WebSocket(`ws://${host}/live`, { origin });
  const waiting = new Set<(aim: WireAim) => void>();
  let newest: WireAim | null = null;
  let count = 0;
  const say = (message: object) => socket.send(JSON.stringify(message));
  socket.on('error', () => socket.terminate());
  socket.on('open', () =>
    say({
      type: 'subscribe',
      protocol: PROTOCOL_VERSION,
      stations: [],
      aim: station,
      now: new Date().toISOString(),
    }),
  );
  socket.on('message', bytes => {
    const message = v.parse(ServerMessage, JSON.parse(String(bytes)));
    say({ type: 'ack', n: message.n });
    if (message.type !== 'aim') return;
    const aim = v.parse(WireAim, message.aim);
    newest = aim;
    count += 1;
    for (const look of waiting) look(aim);
  });
  return {
    newest: () => newest,
    count: () => count,
    until: fits =>
      new Promise(resolve => {
        const look = (aim: WireAim) => {
          if (!fits(aim)) return;
          waiting.delete(look);
          resolve(aim);
        };
        waiting.add(look);
      }),
    close: () => socket.terminate(),
  };
}
