import { describe, expect, it } from "vitest";
import { assembleReferenceData } from "../../reference-data/assemble.ts";
import { readReferenceFiles } from "../../reference-data/load.ts";
import { readTable } from "../../reference-data/read-table.ts";
import { data, finish } from "./place-drinks.ts";

const files = readReferenceFiles();
const { pantry, drinks, families, bands, glasses, sources, cautions, demo } = data;

describe("how much there is", () => {
  it("covers the pantry, the drinks and the rest", () => {
    expect(pantry.length).toBeGreaterThanOrEqual(220);
    expect(drinks.length).toBeGreaterThanOrEqual(160);
    expect(drinks.filter((d) => d.families[0] === "sour").length).toBeGreaterThanOrEqual(40);
    expect(families).toHaveLength(17);
    expect(bands).toHaveLength(5);
    expect(glasses).toHaveLength(16);
    expect(cautions).toHaveLength(21);
  });

  it("has the kinds a drink developer asks for", () => {
    const ids = new Set(pantry.map((i) => i.id));
    for (const id of [
      ...["vodka", "gin", "gin-navy-57", "rum-white", "rum-aged", "rum-overproof-63", "rhum-agricole-50"],
      ...["tequila-blanco", "mezcal", "bourbon-50", "rye", "cognac", "pisco", "cachaca", "absinthe"],
      ...["juice-lemon", "juice-lime", "juice-grapefruit-white", "juice-grapefruit-pink", "juice-pineapple"],
      ...["syrup-simple-1-1", "syrup-simple-2-1", "honey", "syrup-honey-1-1", "syrup-honey-2-1"],
      ...["syrup-honey-3-1", "agave", "maple", "orgeat", "grenadine", "citric-acid", "malic-acid"],
      ...["bitters-aromatic", "egg-white", "cream", "tea-black", "coffee", "soda-water", "saline-20"],
      ...[
        "curacao-blue",
        "coffee-liqueur-dry",
        "fernet-39",
        "amaro-35",
        "pastis",
        "sambuca-38",
        "sake",
        "cola",
      ],
      ...[
        "juice-yuzu",
        "puree-raspberry",
        "citric-solution-10",
        "lactic-solution-10",
        "vinegar-cider",
        "shrub",
      ],
      ...["drink-oat", "drink-almond", "drink-soy", "egg-yolk", "falernum-alcohol-free", "gin-alcohol-free"],
    ]) {
      expect(ids, id).toContain(id);
    }
  });
});

/**
 * Sums of each numeric column by quantity: a stray keystroke in any row changes one.
 * After a meant edit, copy the new sums from the failure.
 */
describe("checksums", () => {
  const rows = readTable("quantities.csv", files["quantities.csv"], []).map((r) => r.row);
  const sums = (key: "value" | "sd") => {
    const out: Record<string, number> = {};
    for (const r of rows) out[r.quantity] = (out[r.quantity] ?? 0) + r[key];
    return Object.fromEntries(Object.entries(out).map(([q, s]) => [q, Number(s.toFixed(4))]));
  };

  it("quantities: number of rows", () => expect(rows.length).toMatchInlineSnapshot(`1155`));
  it("quantities: values", () =>
    expect(sums("value")).toMatchInlineSnapshot(`
      {
        "abv": 4742.2,
        "acetic": 36,
        "cations": 764.8,
        "citric": 306.461,
        "density": 101.178,
        "fructose": 702.5588,
        "glucose": 545.6719,
        "lactic": 118.75,
        "lactose": 55.11,
        "malic": 113.333,
        "maltose": 76.328,
        "other": 2.3126,
        "other-solids": 720.857,
        "phosphoric": 15.08,
        "piece": 1612.7,
        "sucrose": 5164.7013,
        "tartaric": 102.62,
        "wedge": 20.7,
      }
    `));
  it("quantities: uncertainties", () =>
    expect(sums("sd")).toMatchInlineSnapshot(`
      {
        "abv": 214.95,
        "acetic": 7,
        "cations": 114.8,
        "citric": 21.7283,
        "density": 1.458,
        "fructose": 94.2454,
        "glucose": 109.4854,
        "lactic": 2.23,
        "lactose": 4.09,
        "malic": 8.0341,
        "maltose": 24.6,
        "other": 0.95,
        "other-solids": 104.62,
        "phosphoric": 2.72,
        "piece": 389.8,
        "sucrose": 569.8819,
        "tartaric": 2.57,
        "wedge": 8,
      }
    `));

  it("disagreements", () => {
    const all = readTable("disagreements.csv", files["disagreements.csv"], []).map((r) => r.row);
    expect([
      all.length,
      Number(all.reduce((s, r) => s + r.value, 0).toFixed(4)),
      Number(all.reduce((s, r) => s + r.sd, 0).toFixed(4)),
    ]).toMatchInlineSnapshot(`
      [
        51,
        778.12,
        31.22,
      ]
    `);
  });

  it("drinks: lines, amounts by unit", () => {
    const byUnit: Record<string, number> = {};
    let lines = 0;
    for (const d of drinks) {
      for (const l of d.spec.lines) {
        lines++;
        byUnit[l.unit] = Number(((byUnit[l.unit] ?? 0) + l.amount).toFixed(4));
      }
    }
    expect({ lines, ...byUnit }).toMatchInlineSnapshot(`
      {
        "barspoon": 9.75,
        "dash": 85,
        "drop": 4,
        "g": 27.6,
        "lines": 947,
        "ml": 29343,
        "piece": 16.5,
        "tsp": 17,
      }
    `);
  });

  it("bands and glasses", () => {
    const numbers = JSON.stringify([bands.map((b) => b.target), glasses]).match(/-?\d+(\.\d+)?/g)!;
    expect(Number(numbers.reduce((s, n) => s + Math.abs(Number(n)), 0).toFixed(4))).toMatchInlineSnapshot(
      `10590.96`,
    );
  });

  it("notices one changed digit", () => {
    const edited = files["quantities.csv"].replace("juice-lemon,citric,5.2", "juice-lemon,citric,5.3");
    const changed = assembleReferenceData({ ...files, "quantities.csv": edited });
    const citric = (p: typeof pantry) => p.reduce((s, i) => s + (i.acidsGPer100Ml.citric?.value ?? 0), 0);
    expect(citric(changed.pantry) - citric(pantry)).toBeCloseTo(0.1, 9);
  });
});

describe("every number says where it comes from", () => {
  it("and flags what was recalled", () => {
    const byId = new Map(sources.map((s) => [s.id, s]));
    for (const i of pantry) {
      const values = [
        i.abvPercent,
        ...Object.values(i.sugarsGPer100Ml),
        ...Object.values(i.acidsGPer100Ml),
        i.densityGPerMl,
        i.otherSolidsGPer100Ml,
        i.pieceMl,
      ];
      for (const v of values) {
        if (!v) continue;
        const source = byId.get(v.source);
        expect(source, `${i.id} ${v.source}`).toBeDefined();
        // A source known only from memory cannot give a number that is not from memory.
        if (source!.evidence === "memory") expect(v.memory, `${i.id} cites ${v.source}`).toBe(true);
        if (source!.evidence === "estimate") expect(v.sd, `${i.id} cites ${v.source}`).toBeGreaterThan(0);
      }
    }
  });

  it("few numbers are recalled: under 15 % of those that are not exact", () => {
    const rows = readTable("quantities.csv", files["quantities.csv"], []).map((r) => r.row);
    const measured = rows.filter((r) => r.sd > 0);
    expect(measured.filter((r) => r.memory).length / measured.length).toBeLessThan(0.15);
  });

  it("an exact number is a definition, never a measurement", () => {
    const rows = readTable("quantities.csv", files["quantities.csv"], []);
    for (const { row } of rows)
      if (row.sd === 0) expect([row.source, row.value]).toEqual(["alcohol-free", 0]);
  });
});

describe("words", () => {
  /** Words for several things. Cider and lemonade are one drink in Britain and another in America. */
  const UNCLEAR = ["cider", "grapefruit", "grapefruit juice", "lemonade", "rum", "tequila", "whiskey"];

  it("aliases are distinct from each other and no alias is an id of another ingredient", () => {
    const ids = new Map(pantry.map((i) => [i.id.replaceAll("-", " "), i.id]));
    for (const i of pantry) {
      expect(i.aliases.length, i.id).toBeGreaterThan(0);
      for (const a of i.aliases) {
        expect(a).toBe(a.trim());
        const other = ids.get(a);
        if (other && !UNCLEAR.includes(a)) expect(other, `alias "${a}" of ${i.id}`).toBe(i.id);
      }
    }
  });

  it("a word on several ingredients is one that really is unclear", () => {
    const owners: Record<string, string[]> = {};
    for (const i of pantry) for (const a of i.aliases) owners[a] = [...(owners[a] ?? []), i.id];
    const unclear = Object.keys(owners).filter((a) => owners[a]!.length > 1);
    expect(unclear.sort()).toEqual(UNCLEAR);
  });

  it("milk and cream are marked as setting in acid, and what is soured already is not", () => {
    const curdles = pantry.filter((i) => i.curdles).map((i) => i.id);
    for (const id of [
      "cream",
      "milk",
      "half-and-half",
      "milk-condensed",
      "irish-cream-liqueur",
      "drink-soy",
    ]) {
      expect(curdles).toContain(id);
    }
    for (const id of ["buttermilk", "yogurt", "drink-oat", "egg-white"]) expect(curdles).not.toContain(id);
  });

  it("syrups of one family differ in ratio", () => {
    const seen = new Set<string>();
    for (const i of pantry) {
      if (!i.syrup) continue;
      const key = `${i.syrup.family} ${i.syrup.ratio}`;
      expect(seen.has(key), key).toBe(false);
      seen.add(key);
    }
  });

  it("cautions stand where they matter", () => {
    const on = (id: string) => pantry.find((i) => i.id === id)!.cautions ?? [];
    expect(on("egg-white")).toContain("raw-egg");
    expect(on("cream")).toContain("milk");
    expect(on("orgeat")).toContain("nuts");
    expect(on("juice-grapefruit-pink")).toContain("grapefruit-medicines");
    expect(on("syrup-honey-3-1")).toContain("honey-infants");
    expect(on("citric-acid")).toContain("strong-acid");
    expect(on("tonic-water")).toContain("quinine");
    expect(on("vermouth-sweet")).toContain("sulphites");
    expect(on("drink-oat")).toContain("gluten");
    expect(on("drink-almond")).toContain("nuts");
    expect(on("drink-soy")).toContain("soy");
    expect(on("juice-celery")).toContain("celery");
    expect(on("savoury-sauce")).toEqual(expect.arrayContaining(["fish", "gluten"]));
    expect(on("irish-cream-liqueur")).toEqual(expect.arrayContaining(["milk", "alcohol"]));
    for (const spirit of ["gin", "vodka", "aquavit", "rye"]) expect(on(spirit), spirit).toContain("gluten");
    const used = new Set(pantry.flatMap((i) => i.cautions ?? []));
    expect(on("syrup-cinnamon")).toContain("coumarin");
    // What is done in the kitchen: engine/prep/keeping.ts puts these on preps.
    const ofPreps = ["charcoal", "low-acid", "hot-sugar", "batching"];
    // What two of them do to one another: engine/place/clashes.ts puts these on drinks.
    const ofDrinks = ["curdling", "closed-fizz"];
    for (const c of cautions)
      if (![...ofPreps, ...ofDrinks].includes(c.id)) expect(used, c.id).toContain(c.id);
  });
});

describe("drinks", () => {
  const placed = new Map(drinks.map((d) => [d.id, finish(d.spec)]));

  it("each family has at least six members, no spec stands twice", () => {
    for (const f of families) {
      const members = drinks.filter((d) => d.families.includes(f.id));
      expect(members.length, f.id).toBeGreaterThanOrEqual(6);
    }
    const specs = drinks.map((d) => JSON.stringify([d.spec.method, d.spec.lines]));
    for (const [i, s] of specs.entries()) expect(specs.indexOf(s), drinks[i]!.name).toBe(i);
  });

  it("fewer than half are recalled", () => {
    expect(drinks.filter((d) => d.memory).length).toBeLessThan(drinks.length / 2);
  });

  it("each fits its glass below the brim (ice left out)", () => {
    for (const d of drinks) {
      const glass = glasses.find((g) => g.id === d.spec.glass)!;
      expect(placed.get(d.id)!.finishedVolumeMl, `${d.name} in ${glass.name}`).toBeLessThan(glass.brimMl);
    }
  });

  it("names and ids are used once", () => {
    expect(new Set(drinks.map((d) => d.name)).size).toBe(drinks.length);
  });

  it("families sit where the trade says: daisies drier and stronger than sours, egg white and fizz weaker (common practice, no published source)", () => {
    const mean = (family: string, axis: 0 | 1 | 2) => {
      const points = drinks
        .filter((d) => d.families.includes(family))
        .map((d) => placed.get(d.id)!.point[axis]);
      return points.reduce((s, x) => s + x, 0) / points.length;
    };
    expect(mean("daisy", 0)).toBeLessThan(mean("sour", 0));
    expect(mean("daisy", 2)).toBeGreaterThan(mean("sour", 2));
    expect(mean("egg-white-sour", 2)).toBeLessThan(mean("sour", 2));
    expect(mean("fizz", 2)).toBeLessThan(mean("egg-white-sour", 2));
    for (const stirred of ["martini", "manhattan", "negroni", "old-fashioned"]) {
      expect(mean(stirred, 1), stirred).toBeLessThan(0.2);
      expect(mean(stirred, 2), stirred).toBeGreaterThan(mean("daisy", 2));
    }
    expect(mean("martini", 0)).toBeLessThan(mean("manhattan", 0));
    expect(mean("manhattan", 0)).toBeLessThan(mean("negroni", 0));
  });
});

describe("the demo bench", () => {
  it("is invented, has six rounds and a fork after round 3 with the failed branch abandoned", () => {
    expect(demo.invented).toBe(true);
    expect(demo.story).toMatch(/invented/i);
    expect(demo.rounds.map((r) => r.number)).toEqual([1, 2, 3, 4, 5, 6]);
    expect(demo.rounds.filter((r) => r.parent === "r3").map((r) => r.id)).toEqual(["r4", "r5"]);
    expect(demo.rounds.filter((r) => r.abandoned).map((r) => r.id)).toEqual(["r4"]);
    expect(demo.rounds[0]!.faults).toEqual(["thin", "dull"]);
  });

  it("is measured in eighths of an ounce", () => {
    for (const r of demo.rounds) {
      for (const l of r.spec.lines) {
        expect(l.unit).toBe("oz");
        expect(Number.isInteger(l.amount * 8)).toBe(true);
      }
    }
  });

  it("gains acid and strength from first to last round, and is thin and dull at first", () => {
    const at = (id: string) => finish(demo.rounds.find((r) => r.id === id)!.spec).point;
    const [first, last] = [at("r1"), at("r6")];
    expect(last[1]).toBeGreaterThan(first[1]);
    expect(last[2]).toBeGreaterThan(first[2]);
    expect(first[2]).toBeLessThan(12);
    expect(first[1]).toBeLessThan(0.4);
    expect(at("r4")[0]).toBeGreaterThan(at("r3")[0]);
  });
});
