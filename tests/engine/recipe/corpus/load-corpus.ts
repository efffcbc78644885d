import { readFileSync } from "node:fs";
import { UNIT_IDS } from "../../../../engine/ids.ts";
import type { UnitId } from "../../../../engine/types.ts";

const linesOf = (file: string | URL) => readFileSync(new URL(file, import.meta.url), "utf8").split("\n");

/** One right reading of a name: an entry, at a typed strength or ratio where one was typed. */
export interface Meant {
  id: string;
  /** % vol, or % by weight of an acid. */
  percent: number | null;
  /** "4:1". */
  ratio: string | null;
}

/** "bourbon @ 40 %|bourbon-40" → what may be meant; "ask" gives nothing. */
function meant(text: string): Meant[] {
  return text.split("|").flatMap((part) => {
    if (part === "ask") return [];
    const [id = "", typed = ""] = part.split(" @ ");
    const percent = /^([\d.]+) %$/.exec(typed)?.[1];
    return [
      {
        id,
        percent: percent === undefined ? null : Number(percent),
        ratio: typed.includes(":") ? typed : null,
      },
    ];
  });
}

/** A name as people write it, and what it may be taken for. */
export interface NameRow {
  written: string;
  meant: Meant[];
}

/** names.tsv: a name a row. */
export function namesCorpus(): NameRow[] {
  return linesOf("names.tsv")
    .filter((line) => line !== "" && !line.startsWith("#"))
    .map((line) => {
      const [written = "", right = ""] = line.split("\t");
      if (written === "" || right === "")
        throw new Error(`names.tsv: "${line}" needs a name, a tab and its reading`);
      return { written, meant: meant(right) };
    });
}

/** One line of a spec's right reading. */
export interface SpecFact {
  meant: Meant[];
  /** Null: an amount that words give; any size with a wide doubt. */
  amount: number | null;
  unit: UnitId | null;
  top: boolean;
}

/** A pasted spec and its right reading. */
export interface SpecBlock {
  habit: string;
  text: string;
  facts: SpecFact[];
  /** Words of pieces that must be asked about. */
  asks: string[];
  method: string | null;
  glass: string | null;
  title: string | null;
}

function readFact(line: string): SpecFact {
  const poured = /^(?:(~) |([\d.]+) (\S+) )(.+?)( top)?$/.exec(line);
  if (!poured) throw new Error(`specs.txt: "${line}" is no fact`);
  const [, , amount, unit, ids = "", top] = poured;
  if (unit !== undefined && !UNIT_IDS.includes(unit as UnitId))
    throw new Error(`specs.txt: no unit "${unit}"`);
  return {
    meant: meant(ids),
    amount: amount === undefined ? null : Number(amount),
    unit: (unit as UnitId | undefined) ?? null,
    top: top !== undefined,
  };
}

/** A file of blocks, one a spec; ours, or one beside another test. */
export function specsCorpus(file: string | URL = "specs.txt"): SpecBlock[] {
  const body = linesOf(file).join("\n");
  return body
    .split(/^@ /m)
    .slice(1)
    .map((block) => {
      const [habit = "", ...rest] = block.trimEnd().split("\n");
      const at = rest.indexOf("=>");
      if (at < 1) throw new Error(`specs.txt: "${habit}" has no reading`);
      const spec: SpecBlock = {
        habit,
        text: rest.slice(0, at).join("\n"),
        facts: [],
        asks: [],
        method: null,
        glass: null,
        title: null,
      };
      for (const line of rest.slice(at + 1)) {
        const said = /^(ask|method|glass|title) (.+)$/.exec(line);
        if (!said) spec.facts.push(readFact(line));
        else if (said[1] === "ask") spec.asks.push(said[2]!);
        else spec[said[1] as "method" | "glass" | "title"] = said[2]!;
      }
      return spec;
    });
}
