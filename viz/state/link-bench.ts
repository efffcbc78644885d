import type { Along } from "../../engine/bench/along.ts";
import type { Bench } from "../../engine/types.ts";
import { encodeView, joinPairs, specPairs } from "./link-writer.ts";
import type { View } from "./view.ts";

/** A view as a fragment that brings along what it pours of the sender's own. */
export function encodeViewAlong(view: View, { ingredients, preps }: Along): string {
  const pairs = [
    ...ingredients.map((ingredient) => ["y", JSON.stringify(ingredient)] as const),
    ...preps.map((prep) => ["yp", JSON.stringify(prep)] as const),
  ];
  return pairs.length === 0 ? encodeView(view) : `${encodeView(view)}&${joinPairs(pairs)}`;
}

/** The same, with the open bench, its rounds and what they pour packed in, for whoever has none of it. */
export function encodeViewWithBench(view: View, bench: Bench, along: Along): string {
  const numberOf = new Map(bench.rounds.map((round) => [round.id, round.number]));
  const rounds = bench.rounds.map((round): [string, string] => [
    "x",
    joinPairs([
      ["i", String(round.number)],
      ["p", String(round.parent === null ? 0 : (numberOf.get(round.parent) ?? 0))],
      ...(round.abandoned ? [["a", "1"] as const] : []),
      ...(round.state && round.state !== "open" ? [["s", round.state] as const] : []),
      ["t", round.label],
      ...(round.notes ? [["q", round.notes] as const] : []),
      ...(round.faults ?? []).map((fault) => ["f", fault] as const),
      ...specPairs(round.spec, {}),
    ]),
  ]);
  const at = numberOf.get(view.round ?? "");
  const pairs = [["bn", bench.name], ...(at ? [["xr", String(at)]] : []), ...rounds] as [string, string][];
  return `${encodeViewAlong(view, along)}&${joinPairs(pairs)}`;
}
