import { joinWords, plusMinus } from "../wording.ts";
import type { Adjusted } from "./adjust.ts";
import type { AcidWays } from "./compare.ts";
import type { KeepingReason } from "./keeping.ts";
import type { LegalName, LiqueurName } from "./legal.ts";
import type { BrixReading } from "./measure.ts";
import type { SyrupAnswer } from "./syrup.ts";
import type { CrystalRisk, Keeping, Replaced } from "./types.ts";

const AT = { room: "at room temperature", fridge: "in the refrigerator" } as const;

const CRYSTALS = { sucrose: "sucrose", glucose: "glucose", citric: "citric acid" } as const;

/** What may come out of solution, in a sentence; null where nothing will. */
export function crystalWords(risks: readonly CrystalRisk[]): string | null {
  const told = risks.filter(({ risk }) => risk !== "none");
  if (told.length === 0) return null;
  const certain = told.filter(({ risk }) => risk === "will");
  const at = (list: readonly CrystalRisk[]) => joinWords([...new Set(list.map((r) => AT[r.storedAt]))]);
  const what = (list: readonly CrystalRisk[]) => joinWords([...new Set(list.map((r) => CRYSTALS[r.what]))]);
  return certain.length === 0
    ? `At the edge: ${what(told)} may crystallise ${at(told)}.`
    : `More ${what(certain)} than the water holds ${at(certain)}: expect crystals there. Warm it gently and shake to bring them back, or thin it.`;
}

/** A syrup meant by volume and by weight, beside each other; null where the words have one meaning. */
export function otherWayWords({ composition, otherWay }: SyrupAnswer): string | null {
  if (otherWay === null) return null;
  const [here, there] = otherWay.by === "mass" ? ["volume", "weight"] : ["weight", "volume"];
  const [held, meant] = [composition, otherWay.syrup.composition].map((c) => plusMinus(c.sugarGPer100Ml, 1));
  return `By ${here} it holds ${held} g of sugar in 100 mL; by ${there} it would hold ${meant} g.`;
}

/** A refractometer's reading taken apart. */
export function brixWords(r: BrixReading): string {
  const signed = (x: number) => `${x < 0 ? "−" : "+"}${Math.abs(x).toFixed(1)}`;
  const parts = [
    Math.abs(r.temperatureBrix) >= 0.05 && `${signed(r.temperatureBrix)} °Bx for the temperature`,
    r.alcoholBrix >= 0.1 && `the alcohol alone would show ${r.alcoholBrix.toFixed(1)} °Bx`,
    r.acidBrix >= 0.1 &&
      `the acid alone ${r.acidBrix.toFixed(1)} °Bx (juice tables, which ask for what a hydrometer shows, would say ${r.tradeBrix.toFixed(1)} in all)`,
  ].filter((part) => part !== false);
  const because = parts.length > 0 ? `: ${parts.join("; ")}` : "";
  return `${plusMinus(r.sugarGPer100Ml, 1)} g of sugar in 100 mL${because}.`;
}

const QUANTITIES = {
  sugar: { name: "sugar", unit: "g/100 mL", digits: 1 },
  acid: { name: "acid", unit: "g/100 mL", digits: 2 },
  abv: { name: "strength", unit: "% vol", digits: 1 },
  density: { name: "density", unit: "g/mL", digits: 3 },
} as const;

/** What a measurement changed, and how much surer the figure is now. */
export function replacedWords({ quantity, before, after }: Replaced): string {
  const { name, unit, digits } = QUANTITIES[quantity];
  return `Your ${name}: ${plusMinus(after, digits)} ${unit} in place of ${plusMinus(before, digits)}.`;
}

const KEPT: Readonly<Record<KeepingReason, string>> = {
  "raw-egg": "raw egg is in it",
  dairy: "dairy is in it",
  "fat-or-oil": "plants in fat or oil can let the spores of botulism grow",
  "fresh-citrus": "fresh citrus fades within the day",
  juice: "juice is in it",
  "low-acid": "there is too little acid to keep it safe",
  "thin-syrup": "so thin a syrup ferments and moulds",
  "rich-syrup": "a rich syrup keeps, but not for ever",
  "wine-strength": "it is only as strong as wine",
  "spirit-strength": "its alcohol keeps it, its aroma goes",
  "acid-solution": "it is acid and holds little sugar",
};

const WHERE = { shelf: "", fridge: " in the refrigerator", freezer: " in the freezer" } as const;

/** How long, where, and why. */
export function keepingWords({ days, storage, because, tooWarm }: Keeping): string {
  const move = tooWarm ? " It stands too warm now: move it." : "";
  return `Use within ${days === 1 ? "a day" : `${days} days`}${WHERE[storage]}: ${KEPT[because]}.${move} Your food code and your nose come first.`;
}

const NAMES: Readonly<Record<LiqueurName, string>> = {
  liqueur: "liqueur",
  "cherry-liqueur": "liqueur of cherries alone",
  "gentian-liqueur": "gentian liqueur",
  "creme-de": "crème de …",
  "creme-de-cassis": "crème de cassis",
  "us-liqueur": "liqueur or cordial in the United States",
};

/** What sugar and strength let it be called. */
export function legalWords(names: readonly LegalName[]): string {
  const met = names.filter((n) => n.meets).map((n) => NAMES[n.name]);
  const rest = "The name has further conditions; your authority decides.";
  return met.length === 0
    ? `By sugar and strength it is no liqueur. ${rest}`
    : `By sugar and strength these names are open to it: ${joinWords(met)}. ${rest}`;
}

/** What an adjusted juice comes to, what it cost, and what could not be met. */
export function adjustedWords({ composition, phBefore, phAfter, above }: Adjusted): string[] {
  const from = phBefore ? `, from ${phBefore.value.toFixed(1)}` : "";
  return [
    `It comes to ${plusMinus(composition.acidGPer100Ml, 2)} g of acid (as citric) and ${plusMinus(composition.sugarGPer100Ml, 1)} g of sugar in 100 mL.`,
    phAfter && `By charge balance its pH is ${plusMinus(phAfter, 1)}${from}.`,
    above.length > 0 &&
      `It already holds more ${joinWords(above.map((id) => `${id} acid`))} than the profile: none can be taken out, so the total is made up with the rest.`,
  ].filter((sentence) => typeof sentence === "string");
}

/** "Adjust the juice" and "add citrus" beside each other: what differs where both are equally sour. */
export function waysWords({ adjusted, added }: AcidWays, citrus: string): string {
  if (added === null)
    return `No amount of ${citrus} makes it as sour: it thins the drink faster than it sours it.`;
  const [a, b] = [adjusted.placement, added.placement];
  const more = (x: number, y: number, digits: number) => `${x.toFixed(digits)} against ${y.toFixed(digits)}`;
  return `Equally sour. Adjusting the juice gives ${more(a.finishedVolumeMl, b.finishedVolumeMl, 0)} mL with ${added.citrusMl.toFixed(1)} mL of ${citrus} added, ${more(a.point.abvPercent, b.point.abvPercent, 1)} % vol and ${more(a.point.sugarGPer100Ml, b.point.sugarGPer100Ml, 1)} g of sugar in 100 mL.`;
}
