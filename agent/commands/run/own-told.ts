/** The owner's adapters as the page and the command line are told of them. */
import type { AdapterManifest } from '#kit';
import type { OwnAdaptersAnswer, OwnAdapter as ToldAdapter } from '#messages';
import { containment } from '../../host/containment.ts';
import type { OwnAdapter } from '../../own-adapters/index.ts';

export function ownAdaptersTold(folder: string, own: readonly OwnAdapter[]): OwnAdaptersAnswer {
  const { level, networkOpen, hindrance } = containment();
  return { folder, containment: { level, networkOpen, hindrance }, adapters: own.map(told) };
}

function told({ file, sha256, state, says, id, manifest, approved }: OwnAdapter): ToldAdapter {
  return {
    file,
    sha256,
    state,
    says,
    id,
    title: manifest?.title ?? null,
    version: manifest?.version ?? null,
    transports: [...(manifest?.transports ?? [])],
    gives: [...(manifest?.gives ?? [])],
    requests: (manifest?.requests ?? []).map(({ name, bytes, to }) => ({ name, bytes, to: to ?? null })),
    characteristics: characteristicsOf(manifest),
    approved:
      approved === null
        ? null
        : { version: approved.version, sha256: approved.sha256, approvedAt: approved.approvedAt },
  };
}

const characteristicsOf = (manifest: AdapterManifest | null): ToldAdapter['characteristics'] =>
  Object.entries(manifest?.ble?.characteristics ?? {}).map(([name, { service, uuid, use }]) => ({
    name,
    service,
    uuid,
    use: [...use],
  }));
