/**
 * A repair of the serial library's reading on Unix. A port that is pulled while a read is under way answers that read,
 * and every later one, with zero bytes: bindings-cpp 13.0 takes this for "try again", uses a whole core for ever and
 * never reports the end (5 of 60 unplugs of a busy virtual port). Here a port is read only once it is readable, and
 * zero bytes of a readable port are what they mean on Unix: it was hung up.
 */
import { read } from 'node:fs';
import { promisify } from 'node:util';

const readAt = promisify(read);

/** What is used of the library's open port; others (Windows) are left as they are. */
interface UnixPort {
  fd: number | null;
  poller: { once(event: 'readable', tell: (cause: Error | null) => void): unknown };
  read(buffer: Buffer, offset: number, length: number): Promise<{ buffer: Buffer; bytesRead: number }>;
}

const isUnixPort = (port: object): port is UnixPort =>
  'fd' in port && typeof port.fd === 'number' && 'poller' in port && 'read' in port;

const readable = (port: UnixPort): Promise<void> =>
  new Promise((resolve, reject) => {
    port.poller.once('readable', cause => (cause ? reject(cause) : resolve()));
  });

/** The error the stream above takes for an ordinary close. */
const canceled = (): Error => Object.assign(new Error('the port is not open'), { canceled: true });

async function readOnce(port: UnixPort, buffer: Buffer, offset: number, length: number) {
  for (;;) {
    if (port.fd === null) throw canceled();
    await readable(port);
    if (port.fd === null) throw canceled();
    try {
      const { bytesRead } = await readAt(port.fd, buffer, offset, length, null);
      if (bytesRead > 0) return { buffer, bytesRead };
    } catch (cause) {
      const { code } = cause as NodeJS.ErrnoException;
      if (code === 'EAGAIN' || code === 'EWOULDBLOCK' || code === 'EINTR') continue;
      throw port.fd === null ? canceled() : cause;
    }
    throw port.fd === null ? canceled() : new Error('the port was hung up');
  }
}

/** Gives a port just opened by the library a reading that ends. */
export function endOnHangUp<P extends object>(port: P): P {
  if (isUnixPort(port)) {
    const unix: UnixPort = port;
    unix.read = (buffer, offset, length) => readOnce(unix, buffer, offset, length);
  }
  return port;
}
