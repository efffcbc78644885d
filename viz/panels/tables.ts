import { toVec } from "../../engine/axes.ts";
import type { Vec3 } from "../../engine/types.ts";
import { el, fill, tableHead } from "../dom.ts";
import { amountWords } from "../edit/line-edit.ts";
import { offers } from "../state/store.ts";
import { axisNumber } from "../words/verdict.ts";
import type { Panel } from "./context.ts";

interface Row {
  name: string;
  kind: string;
  point: Vec3;
}

const HEADS = ["Point", "What it is", "Sugar, g/100 mL", "Acid, g/100 mL", "Alcohol, % vol"];

function table(caption: string, heads: readonly string[], rows: readonly (readonly string[])[]): HTMLElement {
  return el(
    "div",
    { class: "scroll", tabindex: "0", role: "region", "aria-label": caption },
    el(
      "table",
      {},
      el("caption", {}, caption),
      tableHead(...heads),
      el(
        "tbody",
        {},
        ...rows.map((cells) =>
          el(
            "tr",
            {},
            ...cells.map((cell, i) => (i === 0 ? el("th", { scope: "row" }, cell) : el("td", {}, cell))),
          ),
        ),
      ),
    ),
  );
}

function cells(row: Row): string[] {
  return [row.name, row.kind, ...([0, 1, 2] as const).map((k) => axisNumber(k, row.point[k]))];
}

/** Everything the map shows, as rows. */
export const tables: Panel = (host) => {
  const points = el("div");
  const spec = el("div");
  const classics = el("div");
  fill(
    host,
    el("h2", { id: "tables-title" }, "The same as tables"),
    el("div", { class: "tables" }, points, spec),
    el("details", {}, el("summary", {}, "The classics on the map"), classics),
  );
  return (state, derived) => {
    const rows: Row[] = [];
    if (derived.placement) {
      rows.push({
        name: state.spec.name,
        kind: "the spec on the bench",
        point: toVec(derived.placement.point),
      });
    }
    for (const placed of derived.trail?.rounds ?? []) {
      const round = derived.bench?.rounds.find((candidate) => candidate.id === placed.id);
      rows.push({
        name: `Round ${placed.number}`,
        kind: `${round?.label ?? ""}${round?.abandoned ? " (abandoned)" : ""}`,
        point: toVec(placed.placement.point),
      });
    }
    for (const proposal of offers(state)) {
      rows.push({ name: proposal.name, kind: "proposal", point: toVec(proposal.after) });
    }
    fill(points, table("Points on the map", HEADS, rows.map(cells)));
    fill(
      spec,
      table(
        "Spec on the bench",
        ["Ingredient", "Amount", "mL", "Share of the glass", "Sugar, g", "Acid, g", "Alcohol, mL"],
        state.spec.lines.map((line) => {
          const ingredient = derived.pantry.get(line.ingredient);
          const placed = derived.placement?.lines.find((entry) => entry.ingredient === line.ingredient);
          return [
            ingredient?.name ?? line.ingredient,
            amountWords(line, ingredient, state.units, state.unitSettings),
            placed ? placed.volumeMl.toFixed(1) : "–",
            placed ? `${Math.round(placed.shareOfFinishedPercent)} %` : "–",
            placed ? placed.sugarG.toFixed(1) : "–",
            placed ? placed.acidG.toFixed(2) : "–",
            placed ? placed.ethanolMl.toFixed(1) : "–",
          ];
        }),
      ),
    );
    if (classics.childElementCount === 0) {
      fill(
        classics,
        table(
          "Classic drinks, placed by the same model",
          HEADS,
          derived.references.map(({ drink, point }) =>
            cells({ name: drink.name, kind: drink.families.join(", "), point }),
          ),
        ),
      );
    }
  };
};
