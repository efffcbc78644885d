import type { QuantityNote } from "../amounts/words.ts";
import type { Method } from "../types.ts";

/** What each reason or note says beside its code. Amounts are in mL; `said` is the text's own words. */
interface ReasonFacts {
  "no-words": object;
  heading: object;
  title: object;
  label: object;
  rim: object;
  step: object;
  service: object;
  /** Aroma, decoration or seasoning. */
  "not-counted": { said: string };
  prose: object;
  "too-long": object;
  "no-name": object;
  "no-unit": object;
  "no-size": { said: string };
  "no-piece-size": { name: string };
  "whole-fruit": { said: string };
  "no-volume": { said: string };
  "too-large": { said: string };
  "zero-amount": object;
  "no-amount": { said: string };
  "to-taste": { said: string };
  "several-on-line": object;
  "chain-of-numbers": object;
  "nothing-like": { said: string };
  "choice-offered": { names: string[] };
  "fits-several": { said: string; names: string[] };
  "words-left": { words: string[] };
  "about-as-close": { said: string };
  "strength-unlikely": { said: string; percent: number; name: string };
  "ratio-unusable": { said: string; ratio: string; name: string };
  "glass-is-full": { name: string };
}

interface NoteFacts {
  amount: { note: QuantityNote };
  "range-middle": { said: string };
  "as-juice": { said: string };
  "no-ratio": { taken: string; others: string[] };
  "also-has": { taken: string; others: string[] };
  "taken-among": { taken: string; others: string[] };
  adjusted: { said: string; base: string; taken: string };
  respelt: { typed: string; taken: string };
  "read-as": { said: string; taken: string };
  /** A second name in brackets, of the same kind. */
  gloss: { said: string; taken: string };
  "figure-idle": { said: string };
  /** Another ingredient of its kind in its place: in so small an amount they sit alike. */
  "stands-for": { said: string; taken: string };
  "second-amount": { said: string; used: string };
  "piece-size": { ml: number; sdMl: number };
  "part-size": { ml: number };
  "powder-by-volume": object;
  "unit-from-others": { unit: string };
  "read-as-ml": object;
  "read-as-parts": { ml: number };
  "one-implied": object;
  "word-size": { said: string; ml: number; sdMl: number };
  few: { said: string; count: number };
  optional: object;
  "goes-on-top": { name: string };
  filled: { ml: number; sdMl: number; glass: string; roomMl: number };
  "glass-supposed": { glass: string };
  "method-supposed": { method: Method };
  wedges: { count: number };
}

type Told<F> = { [C in keyof F]: { code: C } & F[C] }[keyof F];

/** Why a piece was not read, must be chosen, or is no ingredient. */
export type Reason = Told<ReasonFacts>;
/** What was taken as so. */
export type Note = Told<NoteFacts>;
