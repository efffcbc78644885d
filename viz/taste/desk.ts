import { computed, type ReadonlySignal, signal } from "@preact/signals";
import { lacking } from "../../engine/bench/check.ts";
import { isDeleted } from "../../engine/bench/merge.ts";
import type { RecordKind, Stored, ValuesOf } from "../../engine/bench/records.ts";
import { planFlight } from "../../engine/taste/flight.ts";
import { type Care, careOf } from "../../engine/thrift/care.ts";
import type { House } from "../house.ts";
import { newId } from "../state/ids.ts";
import { isOnlySeen } from "../state/keys.ts";
import { type Link, linksTo } from "../state/links.ts";
import type { Standing } from "../state/server.ts";
import { syncingOf } from "../state/syncing.ts";
import type { Said } from "./form.tsx";

/** A flight of the bench in work. */
export interface KeptFlight extends ValuesOf<"flight"> {
  id: string;
}

/** What one taster said of one glass, as it is kept. */
export interface KeptTasting extends ValuesOf<"tasting"> {
  id: string;
}

/** A taster with a link of their own. */
export interface Seat extends Link {
  /** Told once, when the link was made; null for a link made earlier. */
  secret: string | null;
}

/** The bench's flights and tastings, and who sits at the table. */
export interface Desk {
  /** Latest first. */
  flights: ReadonlySignal<KeptFlight[]>;
  tastings: ReadonlySignal<KeptTasting[]>;
  /** Tasters' links; null while no server answers. */
  seats: ReadonlySignal<Seat[] | null>;
  standing: ReadonlySignal<Standing | null>;
  /** What to tell tasters of a flight before they taste. */
  careOf(flight: KeptFlight): Care;
  /** Pour these rounds as a flight. */
  pour(rounds: readonly string[], label: string): void;
  change(flight: KeptFlight, values: Partial<ValuesOf<"flight">>): void;
  /** Keep what a taster at this device said of a glass. */
  say(flight: KeptFlight, code: string, taster: string, said: Said): void;
  strike(tasting: KeptTasting): void;
  unstrike(tasting: KeptTasting): void;
  seat(name: string): Promise<string | null>;
  unseat(id: string): Promise<void>;
  /** Hand in what waits, fetch what others said. */
  bring(): Promise<void>;
}

const NEW_SEED = () => crypto.getRandomValues(new Uint32Array(1))[0]! >>> 1;

/** The tasting side of the bench in work. */
export function createDesk(house: House): Desk {
  const { store, standing } = house;
  const syncing = syncingOf(house);
  const server = () => syncing.serverOf(store.work.peek().bench);
  const links = () => linksTo(store.work.peek().bench, syncing);
  const records = signal(server().records());
  const seats = signal<Seat[] | null>(null);
  const told = new Map<string, string>();

  const kept = <K extends RecordKind>(kind: K) =>
    [...records.value.values()]
      .filter((r): r is Stored<K> & typeof r => r.kind === kind && r.bench === store.work.value.bench)
      .filter((r) => lacking(r).length === 0 && !isDeleted(r))
      .map(({ id, values }) => ({ id, ...(values as ValuesOf<K>) }))
      .sort((a, b) => (a.id < b.id ? 1 : -1));
  const flights = computed(() => kept("flight"));
  const tastings = computed(() => kept("tasting"));

  const put = <K extends RecordKind>(kind: K, id: string, values: Partial<ValuesOf<K>>) => {
    const bench = store.bench.peek();
    if (!bench || isOnlySeen(bench.id)) return;
    server().write(bench, kind, id, values);
    records.value = server().records();
    bring();
  };
  const readSeats = async () => {
    const own = (await links().read())?.filter(({ role }) => role === "taster");
    seats.value = own?.map((link) => ({ ...link, secret: told.get(link.id) ?? null })) ?? null;
  };
  let bringing: Promise<void> | null = null;
  const bringOnce = async () => {
    await syncing.bring();
    const after = server().records();
    if (JSON.stringify([...after]) !== JSON.stringify([...records.peek()])) records.value = after;
    if (standing.value?.state === "alone") seats.value = null;
    else await readSeats();
  };
  const bring = () => {
    bringing ??= bringOnce().finally(() => {
      bringing = null;
    });
    return bringing;
  };

  return {
    flights,
    tastings,
    seats,
    standing,
    bring,
    careOf: ({ glasses }) =>
      careOf(
        glasses.map(({ round }) => store.bench.value?.rounds.find(({ id }) => id === round)?.spec),
        store.pantry.value,
      ),
    pour(rounds, label) {
      const taken = flights.peek().flatMap(({ glasses }) => glasses.map(({ code }) => code));
      const { glasses } = planFlight(rounds, ["anyone"], NEW_SEED(), taken);
      put("flight", newId(), { label, glasses, open: true, deleted: false });
    },
    change: ({ id }, values) => put("flight", id, values),
    say(flight, code, taster, said) {
      const { round } = flight.glasses.find((glass) => glass.code === code)!;
      const before = tastings
        .peek()
        .find((t) => t.flight === flight.id && t.round === round && t.taster === taster);
      const values = { ...said, round, flight: flight.id, taster, deleted: false };
      put("tasting", before?.id ?? newId(), values);
    },
    strike: ({ id }) => put("tasting", id, { deleted: true }),
    unstrike: ({ id }) => put("tasting", id, { deleted: false }),
    async seat(name) {
      const here = links();
      await bring();
      const made = await here.make("taster", name);
      if (!made) return null;
      told.set(made.link.id, made.secret);
      await readSeats();
      return made.secret;
    },
    async unseat(id) {
      await links().revoke(id);
      await readSeats();
    },
  };
}
