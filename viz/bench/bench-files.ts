import type { Bench } from "../../engine/types.ts";
import { newId } from "../state/ids.ts";
import { encodeView, encodeViewWithBench } from "../state/link-writer.ts";
import { loadOutside } from "../state/outside.ts";
import { addressOf } from "../state/route.ts";
import type { Store } from "../state/store.ts";
import { addBench } from "./benches-edit.ts";

/** Hand a file to the user. */
export function saveFile(name: string, content: Blob): void {
  const url = URL.createObjectURL(content);
  const link = document.createElement("a");
  link.href = url;
  link.download = name;
  link.dataset.elsewhere = "";
  link.click();
  setTimeout(() => URL.revokeObjectURL(url), 10_000);
}

/** A name a file system takes. */
export const fileName = (name: string, ending: string): string =>
  `${name.replace(/[^\p{L}\p{N}]+/gu, "-").replace(/^-|-$/g, "") || "bench"}.${ending}`;

/** Save a bench as a file. */
export function exportBench(bench: Bench): void {
  const content = new Blob([JSON.stringify(bench, null, 2)], { type: "application/json" });
  saveFile(fileName(bench.name, "bench.json"), content);
}

/** Read a bench from a file; a string is the reason it cannot be one. */
export async function readBenchFile(file: File): Promise<Bench | string> {
  const { readBench } = await loadOutside();
  try {
    return readBench(JSON.parse(await file.text()));
  } catch {
    return "The file is not JSON. Choose a file that “Save a file” on this page made.";
  }
}

/** Open a bench file as a bench of its own. */
export async function importBench(store: Store, file: File): Promise<void> {
  const bench = await readBenchFile(file);
  if (typeof bench === "string") {
    store.tell(`${file.name} was not opened. ${bench}`, { tone: "problem" });
    return;
  }
  const taken = store.work.value.benches.some((other) => other.id === bench.id);
  addBench(store, taken ? { ...bench, id: newId() } : bench);
  store.said.value = `Opened ${bench.name} from a file.`;
}

/** A link that carries the view, and the bench with its rounds. */
function linkTo(store: Store): string {
  const view = { ...store.work.value, reference: store.reference.value };
  const bench = store.bench.value;
  const fragment = bench && bench.rounds.length > 0 ? encodeViewWithBench(view, bench) : encodeView(view);
  return `${location.origin}${addressOf("bench", bench?.id)}#${fragment}`;
}

/** Copy that link, and say what it carries. */
export async function copyLink(store: Store): Promise<void> {
  try {
    await navigator.clipboard.writeText(linkTo(store));
    store.tell("The link is copied: it carries this view, the bench and its rounds.");
  } catch {
    store.tell(
      "This browser does not let a page copy. The address of this page reproduces the view, without the rounds.",
    );
  }
}

/** Copy a link that sets someone else the drink on the bench, with the range chosen here as the goal. */
export async function copyLessonLink(store: Store): Promise<void> {
  const view = { ...store.work.value, bench: null, round: null, reference: null };
  const link = `${location.origin}${addressOf("lessons", "own")}#${encodeView(view)}`;
  try {
    await navigator.clipboard.writeText(link);
    store.tell(
      "The lesson's link is copied: whoever opens it starts from this drink and aims for this range.",
    );
  } catch {
    store.tell(`This browser does not let a page copy. The link: ${link}`);
  }
}
