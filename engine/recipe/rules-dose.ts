import { type UnitWord, unitAt } from "../amounts/unit-words.ts";
import { COUNTS, DOSES } from "./doses.ts";
import { called, dosed, type Facts, pour, type Said, tidy, unread } from "./facts.ts";
import { type Token, wordsOf } from "./tokens.ts";
import { NO_SIZE, STOP_WORDS } from "./vocabulary.ts";

/** "A few" of a unit: how many, and how far that may be out. */
function fewOf(facts: Facts, said: string, unit: UnitWord, name: readonly Token[]): Said | null {
  const few = COUNTS.get(said);
  if (!few) return null;
  return {
    ...pour(facts),
    name: tidy(name),
    amount: few.count * unit.factor,
    unit: unit.unit,
    sdPercent: (100 * few.sd) / few.count,
    notes: [{ code: "few", said, count: few.count }],
  };
}

const tellingAt = (tokens: readonly Token[]) =>
  tokens.findIndex((t) => t.kind === "word" && !STOP_WORDS.has(t.word));

/** "splash of soda", "a few dashes of bitters", "a couple of bar spoons of honey", "squeeze of lime". */
export function readDose(facts: Facts): Said | null {
  const { quantity, before } = facts;
  if (quantity?.unit && quantity.notes.some((note) => note.code === "one-implied")) {
    const [few = "", ...more] = wordsOf(before.slice(Math.max(0, tellingAt(before))));
    return more.every((w) => STOP_WORDS.has(w))
      ? fewOf(facts, few, { unit: quantity.unit, factor: quantity.amount }, facts.name)
      : null;
  }
  if (quantity && (quantity.unit !== null || quantity.high !== undefined)) return null;
  const name = facts.name.filter((t) => t.kind !== "mark");
  const at = tellingAt(name);
  const first = name[at];
  if (first?.kind !== "word") return null;
  const rest = tidy(name.slice(at + 1));
  const times = quantity?.amount ?? 1;
  const dose = DOSES.get(first.word);
  if (dose) return dosed(rest, { ml: times * dose.ml, sdMl: times * dose.sdMl }, first.word);
  const words = wordsOf(rest).join(" ");
  const unit = unitAt(words, 0);
  return unit && fewOf(facts, first.word, unit, rest.slice(words.slice(0, unit.end).split(" ").length));
}

/** "1 shot vodka", "a handful of mint", "rest tonic": sizes nobody agrees on. */
export function readNoSize(facts: Facts): Said | null {
  const { quantity, index } = facts;
  if (quantity && quantity.unit !== null) return null;
  const at = tellingAt(facts.name);
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
  return unread({ code: "no-size", said: first.word }, name);
}
