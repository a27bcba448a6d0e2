/** Plan of one station, asked of its desk, of the process that reads the record and of the one that looks ahead. */
import type { PlanAnswer, TariffSettings } from '#messages';
import type { PlanPast } from '../plan-past.ts';
import { clock } from '../surroundings.ts';
import { type Holding, recordDir } from './holding.ts';
import { planTold } from './planning.ts';
import type { ReadingDesk } from './reading/desk.ts';

/** @param tariff in force now; undefined where none is told */
export function planDoor(
  desk: Pick<ReadingDesk, 'ask'>,
  holding: Pick<Holding, 'demo' | 'watch'>,
  dataDir: string,
  tariff: () => TariffSettings | undefined,
): (station: string) => Promise<PlanAnswer> {
  return async station => {
    const { zone } = holding.watch.desk(station).facts();
    const { demo } = holding;
    const asked = { what: 'planPast' as const, station, zone };
    const answer = desk.ask({ dir: recordDir(dataDir, demo), demo, nowMs: clock.nowMs(), asked });
    const pieces: Uint8Array[] = [];
    for await (const piece of answer) pieces.push(piece);
    const past = JSON.parse(Buffer.concat(pieces).toString()) as PlanPast;
    const atMs = clock.nowMs();
    const known = await holding.watch.desk(station).planKnown(atMs);
    return planTold(holding.watch.desk(station), known, past, tariff(), demo, atMs);
  };
}
