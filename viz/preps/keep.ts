import { type CompiledPreps, compilePreps } from "../../engine/prep/compile.ts";
import type { Prep } from "../../engine/prep/types.ts";
import type { Ingredient, Pantry, Role, Spec, SpecLine } from "../../engine/types.ts";
import { newId } from "../state/ids.ts";
import { addressOf, go } from "../state/route.ts";
import type { Store } from "../state/store.ts";
import { withShelf } from "./shelf-work.ts";

/** Today, as the user's clock has it. */
export function today(now = new Date()): string {
  const two = (n: number) => String(n).padStart(2, "0");
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}

/** The preps of the house, worked out from their records. */
export const compiledOf = (store: Store): CompiledPreps =>
  compilePreps(store.work.value.preps, store.pantry.value);

/** Put the records in place, with what they are as ingredients. */
export function putPreps(store: Store, preps: Prep[]): void {
  store.edit(withShelf(store.work.value, store.pantry.value, preps));
}

/** What a maker hands over to become a record. */
export interface Draft {
  name: string;
  role: Role;
  parts: Prep["parts"];
  simmered?: Prep["simmered"];
  steeped?: Prep["steeped"];
}

/** Keep a draft as a record, and open it. */
export function keepDraft(store: Store, draft: Draft): void {
  const { simmered, steeped, ...rest } = draft;
  const same = store.work.value.preps.filter(({ name }) => name === draft.name).length;
  const prep: Prep = {
    id: newId(),
    ...rest,
    ...(simmered && { simmered }),
    ...(steeped && steeped.length > 0 && { steeped }),
    storage: "fridge",
    madeOn: today(),
    batch: String(same + 1),
  };
  putPreps(store, [...store.work.value.preps, prep]);
  store.tell(`${prep.name} is on the shelf.`, { lasting: false });
  go(addressOf("preps", prep.id));
}

/** Change one record. */
export function changePrep(store: Store, id: string, change: Partial<Prep>): void {
  putPreps(
    store,
    store.work.value.preps.map((p) => (p.id === id ? { ...p, ...change } : p)),
  );
}

/** Whether any drink of any bench pours it. */
export function benchesWith(
  store: Store,
  ids: ReadonlySet<string>,
): { id: string; name: string; rounds: number }[] {
  const pours = (spec: Spec) => spec.lines.some((line) => ids.has(line.ingredient));
  return store.work.value.benches.flatMap(({ id, name, rounds }) => {
    const n = rounds.filter((round) => pours(round.spec)).length;
    const open = id === store.work.value.bench && pours(store.spec.value);
    return n > 0 || open ? [{ id, name, rounds: n }] : [];
  });
}

/** Take a record off the shelf; what pours it keeps it as an ingredient of one's own. */
export function dropPrep(store: Store, prep: Prep): void {
  const { preps, own } = store.work.value;
  const used =
    benchesWith(store, new Set([prep.id])).length > 0 ||
    preps.some((p) => p.parts.some((x) => x.ingredient === prep.id));
  store.edit({
    preps: preps.filter(({ id }) => id !== prep.id),
    own: used ? own : own.filter(({ id }) => id !== prep.id),
  });
  store.tell(
    used
      ? `${prep.name} is off the shelf. Drinks that pour it keep its figures.`
      : `${prep.name} is off the shelf.`,
    { action: { label: "Undo", act: store.undo } },
  );
  go(addressOf("preps"));
}

/** The drink on the bench with one line's ingredient changed, or a line more. */
export function pouredWith(spec: Spec, ingredient: string, line: number | null): Spec {
  const added: SpecLine = { ingredient, amount: 20, unit: "ml" };
  return {
    ...spec,
    lines:
      line === null
        ? [...spec.lines, added]
        : spec.lines.map((old, i) => (i === line ? { ...old, ingredient } : old)),
  };
}

/** The pantry with some ingredients in place of its own. */
export const pantryWith = (pantry: Pantry, ...ingredients: Ingredient[]): Pantry =>
  new Map([...pantry, ...ingredients.map((i) => [i.id, i] as const)]);
