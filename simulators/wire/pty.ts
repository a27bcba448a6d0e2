/**
 * A plant on a pseudo-terminal that a serial library opens as if it were a port. This process holds the master side
 * itself, so the port goes when the process goes, however it dies, and nothing is orphaned. Node has no ioctl: perl,
 * present on practically every Linux and macOS, unlocks the terminal and sets it raw, then exits.
 */
import { spawnSync } from 'node:child_process';
import { closeSync, constants, openSync, readSync, renameSync, rmSync, symlinkSync, writeSync } from 'node:fs';
import type { Cable, OnListener, Timing } from './cable.ts';
import { createPacer } from './pacer.ts';

/** fd 3 is the master. Linux: TIOCSPTLCK, TIOCGPTN. macOS: TIOCPTYGRANT, TIOCPTYUNLK, TIOCPTYGNAME. */
const UNLOCK_AND_SET_RAW = `
use POSIX qw(:fcntl_h :termios_h);
open(my $m, "+<&=", 3) or die "open: $!";
my $path;
if ($^O eq "darwin") {
  my $none = 0;
  ioctl($m, 0x20007454, $none) or die "grant: $!";
  ioctl($m, 0x20007452, $none) or die "unlock: $!";
  my $name = "\\0" x 128;
  ioctl($m, 0x40807453, $name) or die "name: $!";
  $path = unpack("Z*", $name);
} else {
  my $n = pack("i", 0);
  ioctl($m, 0x40045431, $n) or die "unlock: $!";
  ioctl($m, 0x80045430, $n) or die "name: $!";
  $path = "/dev/pts/" . unpack("i", $n);
}
sysopen(my $s, $path, O_RDWR | O_NOCTTY) or die "$path: $!";
my $t = POSIX::Termios->new;
$t->getattr(fileno($s));
$t->setiflag(0); $t->setoflag(0); $t->setlflag(0); $t->setcflag(CS8 | CREAD | CLOCAL);
$t->setattr(fileno($s), TCSANOW) or die "raw: $!";
print $path;
`;

const TICK_MS = 4;
const REST_MS = 40;

interface Master {
  fd: number;
  slavePath: string;
}

function openMaster(): Master {
  const fd = openSync('/dev/ptmx', constants.O_RDWR | constants.O_NOCTTY | constants.O_NONBLOCK);
  const perl = spawnSync('perl', ['-e', UNLOCK_AND_SET_RAW], {
    stdio: ['ignore', 'pipe', 'pipe', fd],
    encoding: 'utf8',
  });
  if (perl.status === 0) return { fd, slavePath: perl.stdout };
  closeSync(fd);
  throw new Error(`no pseudo-terminal: ${perl.error?.message ?? perl.stderr.trim()}; perl is needed to set one up`);
}

const codeOf = (cause: unknown): string => String((cause as NodeJS.ErrnoException).code);

/** Takes what the listener wrote; false where nobody has the port open (the system says EIO, or end of file). */
function hasListener(fd: number, scratch: Uint8Array, heard: (bytes: Uint8Array) => void): boolean {
  for (;;) {
    try {
      const count = readSync(fd, scratch);
      if (count === 0) return false;
      heard(scratch.slice(0, count));
    } catch (cause) {
      if (codeOf(cause) === 'EAGAIN') return true;
      if (codeOf(cause) === 'EIO') return false;
      throw cause;
    }
  }
}

/** Writes what fits; what the terminal does not take is lost. */
function writeWhatFits(fd: number, bytes: Uint8Array): void {
  for (let sent = 0; sent < bytes.length; ) {
    try {
      sent += writeSync(fd, bytes, sent);
    } catch (cause) {
      if (codeOf(cause) === 'EAGAIN' || codeOf(cause) === 'EIO') return;
      throw cause;
    }
  }
}

/** A port under the stable name `link`, at `baud` (0: as fast as it goes). Throws where there is no perl or no pty. */
export function ptyCable(link: string, baud: number, timing: Timing): Cable {
  let pacer = createPacer(baud);
  const scratch = new Uint8Array(1024);
  let cancel: (() => void) | null = null;
  let master: Master | null = null;
  let resting = false;
  let onListener: OnListener | null = null;
  let heard: (bytes: Uint8Array) => void = () => undefined;
  const plug = () => {
    master = openMaster();
    // Renamed into place, so that whoever opens the name finds the old port or the new one, never nothing.
    const fresh = `${link}.${process.pid}`;
    rmSync(fresh, { force: true });
    symlinkSync(master.slavePath, fresh);
    renameSync(fresh, link);
    if (onListener !== null) listen(onListener);
  };
  const stop = () => {
    cancel?.();
    cancel = null;
  };
  const pump = () => {
    cancel = null;
    if (master === null) return;
    const due = pacer.take(timing.nowMs());
    if (hasListener(master.fd, scratch, heard)) for (const bytes of due) writeWhatFits(master.fd, bytes);
    // What is heard may have been answered meanwhile, which sets the next turn.
    if (cancel === null && (pacer.waitingBytes() > 0 || onListener !== null)) cancel = timing.after(TICK_MS, pump);
  };
  const send = (bytes: Uint8Array, unpaced: boolean): void => {
    if (master === null || resting) return;
    if (unpaced) {
      if (hasListener(master.fd, scratch, heard)) writeWhatFits(master.fd, bytes);
    } else if (pacer.push(bytes, timing.nowMs()) && cancel === null) pump();
  };
  const listen = (listener: OnListener): void => {
    onListener = listener;
    heard = listener(send);
    if (cancel === null) pump();
  };
  const close = () => {
    stop();
    pacer = createPacer(baud);
    if (master === null) return;
    closeSync(master.fd);
    master = null;
    rmSync(link, { force: true });
  };
  plug();
  return {
    where: { pty: link, baud },
    send,
    hear: listen,
    async unplug() {
      resting = true;
      stop();
      // A reader in the middle of a read when the terminal goes may see its end as silence: let it come to rest first.
      await new Promise<void>(resolve => timing.after(REST_MS, resolve));
      resting = false;
      close();
    },
    async replug() {
      if (master === null) plug();
    },
    close,
  };
}
