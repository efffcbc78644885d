import { type Along, type Arrived, alongWith, arriving, pouredAs } from "../../engine/bench/along.ts";
import { canonical } from "../../engine/bench/merge.ts";
import type { Bench, Spec } from "../../engine/types.ts";
import { fileName, saveFile } from "../parts/save-file.ts";
import type { BenchFile } from "../state/bench-file.ts";
import { LONGEST_FRAGMENT } from "../state/codec/reader.ts";
import { pantryFor } from "../state/derived.ts";
import { newId } from "../state/ids.ts";
import { lentTo } from "../state/keys.ts";
import { encodeViewAlong, encodeViewWithBench } from "../state/link-bench.ts";
import { loadOutside } from "../state/outside.ts";
import { addressOf } from "../state/route.ts";
import { benchAs } from "../state/settling.ts";
import type { Store } from "../state/store.ts";
import type { Work } from "../state/view.ts";
import { addBench } from "./benches-edit.ts";

/** What specs of a bench pour of the own things of the house it is kept in. */
function alongSpecs(store: Store, bench: string | null, specs: readonly Spec[]): Along {
  const work = store.work.value;
  const lent = lentTo(bench);
  const { preps, unitSettings } = lent ?? work;
  return alongWith(specs, { pantry: pantryFor(store.data, work, lent), preps, unitSettings });
}

/** What a bench pours of the house's own; the drink in work with it, if it is the open one. */
function alongBench(store: Store, { id, rounds }: Bench): Along {
  const { bench, spec } = store.work.value;
  const specs = rounds.map((round) => round.spec);
  return alongSpecs(store, id, id === bench ? [...specs, spec] : specs);
}

/** What the drink in work pours of the house's own. */
const alongDrink = (store: Store): Along => alongSpecs(store, store.work.value.bench, [store.spec.value]);

/** What came along with a bench, put into this house: what to change, and how it is told. */
export function settling(
  store: Store,
  along: Along,
): { came: Arrived; change: Partial<Work>; told: string | null } {
  const { own, preps, measured, unitSettings: here } = store.work.value;
  const { unitSettings = here } = along;
  const came = arriving(along, pantryFor(store.data, { own, measured }));
  const names = came.ingredients.map(({ name }) => name).join(", ");
  const said = [
    ...(names ? [`With it came ${names}: in your pantry now, as your own.`] : []),
    ...(along.ingredients.some(({ id }) => came.idOf(id) !== id)
      ? ["“As sent” is what you have by the same name with other figures; yours stays as it was."]
      : []),
    ...(canonical(unitSettings) === canonical(here)
      ? []
      : ["Its sizes of spoon, dash and drop count here now."]),
  ];
  const change = { own: [...own, ...came.ingredients], preps: [...preps, ...came.preps], unitSettings };
  return { came, change, told: said.length > 0 ? said.join(" ") : null };
}

/** Save a bench as a file, with what it pours of the house's own. */
export function exportBench(store: Store, bench: Bench): void {
  const file: BenchFile["bench"] & { along: Along } = { ...bench, along: alongBench(store, bench) };
  const content = new Blob([JSON.stringify(file, null, 2)], { type: "application/json" });
  saveFile(fileName(bench.name, "bench.json"), content);
}

/** Read a bench from a file; a string is the reason it cannot be one. */
export async function readFile(file: File): Promise<BenchFile | string> {
  const { readBenchFile } = await loadOutside();
  try {
    return readBenchFile(JSON.parse(await file.text()));
  } catch {
    return "The file is not JSON. Choose a file that “Save a file” on this page made.";
  }
}

/** Open a bench file as a bench of its own, with what it brings along. */
export async function importBench(store: Store, file: File): Promise<void> {
  const read = await readFile(file);
  if (typeof read === "string") {
    store.tell(`${file.name} was not opened. ${read}`, { tone: "problem" });
    return;
  }
  const { along, bench } = read;
  const { came, change, told } = settling(store, along);
  const taken = store.work.value.benches.some((other) => other.id === bench.id);
  addBench(store, { ...benchAs(bench, came), ...(taken && { id: newId() }) }, change);
  store.said.value = `Opened ${bench.name} from a file.`;
  if (told) store.tell(told, { action: { label: "Undo", act: store.undo } });
}

/** A copy of a bench with rounds of its own; of one by a link, with what it pours of that house's. */
export function duplicateBench(store: Store, bench: Bench): void {
  const { came, change, told } = settling(store, alongBench(store, bench));
  const ids = new Map(bench.rounds.map((round) => [round.id, newId()]));
  const rounds = benchAs(bench, came).rounds.map((round) => ({
    ...round,
    id: ids.get(round.id)!,
    parent: round.parent === null ? null : (ids.get(round.parent) ?? null),
  }));
  const current = ids.get(bench.current) ?? rounds[0]?.id ?? "";
  addBench(store, { ...bench, id: newId(), rounds, current }, change);
  if (told) store.tell(told, { action: { label: "Undo", act: store.undo } });
}

/** Make a bench that came by a link one of this house's own, with what it pours; `letGo` of the link in between. */
export function keepAsOwn(store: Store, bench: Bench, letGo: () => void): void {
  const { came, change } = settling(store, alongBench(store, bench));
  letGo();
  const { benches, spec } = store.work.value;
  store.edit({
    ...change,
    benches: benches.map((other) => (other.id === bench.id ? benchAs(other, came) : other)),
    ...(store.work.value.bench === bench.id && { spec: pouredAs(spec, came) }),
  });
}

/** A link that carries the view, and the bench with its rounds and what they pour. */
function linkTo(store: Store): string {
  const view = { ...store.work.value, reference: store.reference.value };
  const bench = store.bench.value;
  const fragment =
    bench && bench.rounds.length > 0
      ? encodeViewWithBench(view, bench, alongBench(store, bench))
      : encodeViewAlong(view, alongDrink(store));
  return `${location.origin}${addressOf("bench", bench?.id)}#${fragment}`;
}

/** Copy that link, and say what it carries. */
export async function copyLink(store: Store): Promise<void> {
  const link = linkTo(store);
  if (link.length > LONGEST_FRAGMENT) {
    store.tell("This bench is too much for a link. “Save a file” takes all of it.", { tone: "problem" });
    return;
  }
  try {
    await navigator.clipboard.writeText(link);
    store.tell("The link is copied: it carries this view, the bench, its rounds and what they pour.");
  } catch {
    store.tell(
      "This browser does not let a page copy. The address of this page reproduces the view, without the rounds.",
    );
  }
}

/** Copy a link that sets someone else the drink on the bench, with the range chosen here as the goal. */
export async function copyLessonLink(store: Store): Promise<void> {
  const view = { ...store.work.value, bench: null, round: null, reference: null };
  const link = `${location.origin}${addressOf("lessons", "own")}#${encodeViewAlong(view, alongDrink(store))}`;
  try {
    await navigator.clipboard.writeText(link);
    store.tell(
      "The lesson's link is copied: whoever opens it starts from this drink and aims for this range.",
    );
  } catch {
    store.tell(`This browser does not let a page copy. The link: ${link}`);
  }
}
