/**
 * On which own addresses this computer can be reached by others, as the system lists them: one an interface, IPv4 where
 * there is one (it can be typed), else an IPv6 address that needs no zone. Pure; the list is an argument.
 */
import { WattkeepError } from '#kit';

export interface Network {
  /** As the system calls the interface. */
  readonly name: string;
  readonly address: string;
}

/** What of `os.networkInterfaces()` is looked at. */
export type InterfaceList = Readonly<
  Record<
    string,
    readonly { readonly address: string; readonly family: string; readonly internal: boolean }[] | undefined
  >
>;

export function networksOf(interfaces: InterfaceList): Network[] {
  return Object.entries(interfaces).flatMap(([name, addresses = []]) => {
    const outward = addresses.filter(({ internal, address }) => !internal && !/^(fe[89ab]|169\.254\.)/i.test(address));
    const chosen = outward.find(({ family }) => family === 'IPv4') ?? outward[0];
    return chosen === undefined ? [] : [{ name, address: chosen.address }];
  });
}

export const networkText = ({ name, address }: Network): string => `${name} (${address})`;

/**
 * The one that is meant: by its name or address, or the only one there is.
 *
 * @throws WattkeepError NETWORK_MISSING where there is none, USAGE where the name fits none or several are there
 */
export function chooseNetwork(networks: readonly Network[], wanted: string | null): Network {
  if (networks.length === 0)
    throw new WattkeepError(
      'NETWORK_MISSING',
      'This computer is in no network now.',
      'Connect it, then switch sharing on again.',
    );
  const there = networks.map(networkText).join(', ');
  if (wanted !== null) {
    const found = networks.find(({ name, address }) => name === wanted || address === wanted);
    if (found !== undefined) return found;
    throw new WattkeepError('USAGE', `There is no network interface ${wanted.slice(0, 40)}.`, `There are: ${there}.`);
  }
  const [only, ...others] = networks;
  if (others.length === 0) return only!;
  throw new WattkeepError('USAGE', `This computer is in several networks: ${there}.`, 'Name one of them.');
}
