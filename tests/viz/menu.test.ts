import { expect, test } from "vitest";
import type { Bench, Pantry, Round } from "../../engine/types.ts";
import { loadReferenceData } from "../../reference-data/load.ts";
import { readSpecs, roundOf } from "../../viz/menu/read-specs.ts";
import { INVENTED } from "../../viz/menu/words.ts";
import { loadReader } from "../../viz/parts/reader.ts";

const { pantry: items, glasses } = loadReferenceData();
const pantry: Pantry = new Map(items.map((item) => [item.id, item]));
const reader = await loadReader();
const read = (text: string) => readSpecs(text, pantry, { glasses }, reader);

test("the invented list is read whole, each spec by its name", () => {
  const { specs, left } = read(INVENTED);
  expect(left).toEqual([]);
  expect(specs).toHaveLength(INVENTED.split("\n\n").length);
  expect(specs.map(({ name }) => name)).toEqual(INVENTED.split("\n\n").map((block) => block.split("\n")[0]));
});

test("empty lines part specs however they are written", () => {
  const one = "2 oz gin\n3/4 oz lemon juice\n3/4 oz simple syrup";
  for (const gap of ["\n\n", "\n \n\t\n\n", "\r\n\r\n"]) {
    expect(read(`\n\n${one}${gap}${one.replaceAll("\n", "\r\n")}\n`).specs).toHaveLength(2);
  }
  expect(read(" \n ")).toEqual({ specs: [], left: [] });
});

test("a spec with a line that is not read, or without a pour, is left off with the line and not guessed", () => {
  const { specs, left } = read(
    "Lantern\n2 oz gin\n1 oz moonwater\n\nShake hard\n\nWhole\n2 oz gin\n1 oz lemon juice",
  );
  expect(specs.map(({ name }) => name)).toEqual(["Whole"]);
  expect(left).toHaveLength(2);
  expect(left[0]).toMatchObject({ name: "Lantern", why: [expect.stringContaining("moonwater")] });
});

test("a bench is spoken for by its final round, else the last not given up, else the last", () => {
  const round = (number: number, more: Partial<Round> = {}): Round => ({
    id: `${number}`,
    number,
    parent: null,
    label: "",
    spec: { name: "x", method: "shaken", lines: [] },
    ...more,
  });
  const of = (...rounds: Round[]) =>
    roundOf({ id: "b", name: "b", rounds, current: "", target: "" } as Bench);
  expect(of(round(1, { state: "final" }), round(2))?.number).toBe(1);
  expect(of(round(3, { state: "rejected" }), round(2), round(1))?.number).toBe(2);
  expect(of(round(2, { abandoned: true }), round(1, { abandoned: true }))?.number).toBe(2);
  expect(of()).toBeNull();
});
