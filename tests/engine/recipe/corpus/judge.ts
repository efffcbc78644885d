import { toVolumeMl } from "../../../../engine/amounts/units.ts";
import { parseRecipe, withMade } from "../../../../engine/recipe/parse-recipe.ts";
import type { Glass, Ingredient, Pantry, SpecLine } from "../../../../engine/types.ts";
import type { Meant, NameRow, SpecBlock, SpecFact } from "./load-corpus.ts";

/** What the reader made of a row: right, asked about, or wrong in these words. */
export type Outcome = { kind: "read" } | { kind: "asked" } | { kind: "wrong"; how: string };

const near = (a: number, b: number) => Math.abs(a - b) <= 1e-6 * Math.max(1, Math.abs(b));

/** Whether an ingredient is what was meant: the entry itself, or the entry at the typed figure. */
function isMeant(ingredient: Ingredient, { id, percent, ratio }: Meant): boolean {
  if (percent === null && ratio === null) return ingredient.id === id;
  if (!ingredient.id.startsWith(`${id}-at-`)) return false;
  if (ratio !== null) return ingredient.syrup?.ratio === ratio;
  if (ingredient.abvPercent.value > 0) return near(ingredient.abvPercent.value, percent!);
  // Grams of the acid in 100 mL of a solution of so many per cent by weight or by volume.
  const grams = Object.values(ingredient.acidsGPer100Ml).reduce((sum, v) => sum + v!.value, 0);
  return grams > 0.99 * percent! && grams < 1.4 * percent!;
}

/** Readings that the pantry can give. */
export const possible = (meant: readonly Meant[], pantry: Pantry) => meant.filter(({ id }) => pantry.has(id));

/** Read "30 ml NAME" and say how it went. */
export function judgeName(row: NameRow, pantry: Pantry): Outcome {
  const recipe = parseRecipe(`30 ml ${row.written}`, pantry);
  if (recipe.lines.length !== 1) return { kind: "wrong", how: `${recipe.lines.length} pieces` };
  const [line] = recipe.lines;
  if (line!.status === "choose" || line!.status === "unread") return { kind: "asked" };
  if (line!.status !== "read") return { kind: "wrong", how: line!.status };
  const { ingredient, amount, unit } = line!.line!;
  const taken = withMade(pantry, recipe.made).get(ingredient)!;
  const right = amount === 30 && unit === "ml" && row.meant.some((m) => isMeant(taken, m));
  return right ? { kind: "read" } : { kind: "wrong", how: `${amount} ${unit} ${ingredient}` };
}

function isFact(fact: SpecFact, line: SpecLine, pantry: Pantry): boolean {
  const taken = pantry.get(line.ingredient)!;
  if (!fact.meant.some((m) => isMeant(taken, m))) return false;
  // The stage is told by the text, or by the ingredient's own habit.
  if (fact.top && line.stage !== "top" && !taken.addAfterDilution) return false;
  if (!fact.top && line.stage === "top" && !taken.addAfterDilution) return false;
  if (fact.amount === null) return line.amount > 0 && (line.amountSdPercent ?? 0) >= 15;
  const ml = (amount: number, unit: SpecLine["unit"]) => toVolumeMl(amount, unit, { ingredient: taken }).ml;
  return near(ml(line.amount, line.unit), ml(fact.amount, fact.unit!));
}

const tell = (line: SpecLine) =>
  `${line.amount} ${line.unit} ${line.ingredient}${line.stage === "top" ? " top" : ""}`;

/** Read a pasted spec and say how it went. Whole: every fact read, nothing else, and only what must be asked is. */
export function judgeSpec(block: SpecBlock, pantry: Pantry, glasses: readonly Glass[]): Outcome {
  const recipe = parseRecipe(block.text, pantry, { glasses });
  const ingredients = withMade(pantry, recipe.made);
  const left = [...block.facts];
  const faults: string[] = [];
  for (const line of recipe.spec?.lines ?? []) {
    const at = left.findIndex((fact) => isFact(fact, line, ingredients));
    if (at < 0) faults.push(`read ${tell(line)}`);
    else left.splice(at, 1);
  }
  const asked = recipe.lines.filter((l) => l.status === "choose" || l.status === "unread");
  // Each fact that was not read, and each thing that must be asked, needs a piece that asks.
  if (left.length + block.asks.length > asked.length) {
    const silent = left.map((f) => f.meant.map((m) => m.id).join("|")).join(", ");
    faults.push(`silent about ${silent || block.asks.join(", ")}`);
  }
  for (const words of block.asks) {
    if (!asked.some((l) => l.raw.toLowerCase().includes(words.toLowerCase())))
      faults.push(`did not ask about ${words}`);
  }
  if (block.method !== null && recipe.spec?.method !== block.method)
    faults.push(`method ${recipe.spec?.method}`);
  if (block.glass !== null && recipe.spec && recipe.spec.glass !== block.glass)
    faults.push(`glass ${recipe.spec.glass}`);
  if (block.title !== null && recipe.title !== block.title) faults.push(`title ${recipe.title}`);
  if (faults.length > 0) return { kind: "wrong", how: faults.join("; ") };
  return left.length === 0 && asked.length === block.asks.length ? { kind: "read" } : { kind: "asked" };
}
