import { unitAt } from "../amounts/unit-words.ts";
import { COUNTS, DOSES } from "./doses.ts";
import { called, dosed, type Facts, OF, pour, type Said, tidy } from "./facts.ts";
import { NO_SIZE, STOP_WORDS } from "./vocabulary.ts";

/** "splash of soda", "a few dashes of bitters", "squeeze of lime". */
export function readDose(facts: Facts): Said | null {
  const { quantity } = facts;
  if (quantity && (quantity.unit !== null || quantity.high !== undefined)) return null;
  const name = facts.name.filter((t) => t.kind !== "mark");
  const at = name.findIndex((t) => t.kind === "word" && !STOP_WORDS.has(t.word));
  const first = name[at];
  if (first?.kind !== "word") return null;
  const times = quantity?.amount ?? 1;
  const dose = DOSES.get(first.word);
  if (dose) {
    const sized = { ml: times * dose.ml, sdMl: times * dose.sdMl };
    return dosed(tidy(name.slice(at + 1)), sized, first.word);
  }
  const few = COUNTS.get(first.word);
  const next = name.slice(at + 1).find((t) => t.kind === "word" && !OF.has(t.word));
  const unit = few && next?.kind === "word" ? unitAt(next.word, 0) : null;
  if (!few || !unit || unit.end !== (next as { word: string }).word.length) return null;
  return {
    ...pour(facts),
    name: tidy(name.slice(name.indexOf(next!) + 1)),
    amount: few.count * unit.factor,
    unit: unit.unit,
    sdPercent: (100 * few.sd) / few.count,
    notes: [{ code: "few", said: first.word, count: few.count }],
  };
}

/** "1 shot vodka", "a handful of mint", "rest tonic": sizes nobody agrees on. */
export function readNoSize(facts: Facts): Said | null {
  const { quantity, index } = facts;
  if (quantity && quantity.unit !== null) return null;
  const at = facts.name.findIndex((t) => t.kind === "word" && !STOP_WORDS.has(t.word));
  const first = facts.name[at];
  if (first?.kind !== "word" || !NO_SIZE.has(first.word)) return null;
  const name = tidy(facts.name.slice(at + 1));
  // "1 shot of espresso": a shot of that has a size.
  const entry = quantity
    ? (called(facts.name, index)?.entries[0] ?? called(name, index)?.entries[0])
    : undefined;
  if (first.word === "shot" && entry?.ingredient.pieceMl && entry.ingredient.role === "tea-coffee") {
    return { ...pour(facts), name, unit: "piece" };
  }
  return { kind: "unread", reason: { code: "no-size", said: first.word }, name };
}
