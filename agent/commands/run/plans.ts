/** From a station's settings to the plan that the supervisor carries out. */
import type { PartSettings, StationSettings } from '#messages';
import type { Log } from '../../log/log.ts';
import type { HeldPlan, LinkedPlan, Resting, StationPlan, TypedPlan } from '../../stations/index.ts';
import type { Radio } from '../../transports/ble-radio.ts';
import { describeLink, openLinkFor } from '../../transports/index.ts';
import { clock, timers } from '../surroundings.ts';
import type { Adapters } from './adapters.ts';
import { partIntervalMs } from './sources.ts';

export interface PlanParts {
  readonly adapters: Adapters;
  readonly radio: Radio;
  readonly log: Log;
}

type Link = Pick<PartSettings, 'adapter' | 'transport'>;

/** One adapter on one link. */
function linkPlan(id: string, { adapter, transport }: Link, parts: PlanParts): LinkedPlan | TypedPlan | HeldPlan {
  if (transport.kind === 'typed') return { kind: 'typed', id };
  const link = describeLink(transport);
  const found = parts.adapters.find(adapter);
  if ('held' in found) {
    const { held, detail } = found;
    return { kind: 'held', id, link, detail, ...(held === undefined ? {} : { failure: held }) };
  }
  const { radio, log } = parts;
  const onStderr = (program: string, text: string) => log.info('program', text.trim(), { station: id, link: program });
  return {
    kind: 'linked',
    id,
    adapter: found.run,
    link,
    key: JSON.stringify([found.run, transport]),
    openLink: openLinkFor(transport, { clock, timers, environment: process.env, onStderr, radio }),
  };
}

/** What makes a part another one. */
const partKey = (plan: LinkedPlan | TypedPlan | HeldPlan): unknown =>
  plan.kind === 'linked' ? plan.key : plan.kind === 'typed' ? 'typed' : [plan.link, plan.failure, plan.detail];

/** @param resting what the owner said of it before this run, where it still holds */
export function planOf(station: StationSettings, parts: PlanParts, resting: Resting | undefined): StationPlan {
  const { id, adapter, transport } = station;
  const rest = resting === undefined ? {} : { resting };
  if (transport.kind !== 'parts') {
    const plan = linkPlan(id, { adapter, transport }, parts);
    return plan.kind === 'linked' ? { ...plan, ...rest } : plan;
  }
  const manifests = parts.adapters.manifests();
  const planned = transport.part.map((part, i) => ({
    name: part.name,
    gives: part.gives,
    plan: linkPlan(`${id} ${i + 1}`, part, parts),
    intervalMs: partIntervalMs(part, manifests),
  }));
  const key = JSON.stringify(planned.map(({ plan, ...told }) => [told, partKey(plan)]));
  return { kind: 'composite', id, key, parts: planned, ...rest };
}
