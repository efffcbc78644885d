import { select } from "d3";
import { AXES } from "../../engine/axes.ts";
import { AXIS_NAME, formatAxis } from "./axis-words.ts";
import { type Item, sdOf, titleOf } from "./items.ts";
import type { MapModel } from "./model.ts";

const KIND = { round: "round", live: "being edited", ghost: "proposal", reference: "reference" } as const;

function cell(item: Item, axis: 0 | 1 | 2): string {
  const sd = sdOf(item, axis);
  return formatAxis(axis, item.point[axis]) + (sd === null ? "" : ` ± ${formatAxis(axis, sd)}`);
}

/** Draw the table of all points; the name in each row is a button that puts the map's cursor there. */
export function drawTable(
  host: HTMLElement,
  model: MapModel,
  items: readonly Item[],
  cursorKey: string | null,
  onPick: (key: string) => void,
): void {
  const table = select(host)
    .selectAll("table")
    .data([0])
    .join((enter) => {
      const t = enter.append("table").attr("class", "map-table");
      t.append("caption");
      t.append("thead").append("tr");
      t.append("tbody");
      return t;
    });
  const target = model.target;
  table
    .select("caption")
    .text(
      `All points on the map. ± is one standard uncertainty.${target ? ` Target: ${model.targetLabel}.` : ""}`,
    );
  const heads = [
    "name",
    "kind",
    ...([0, 1, 2] as const).map((a) => `${AXIS_NAME[a]}, ${AXES[a].unit}`),
    ...(target ? ["in target"] : []),
  ];
  table
    .select("thead tr")
    .selectAll("th")
    .data(heads)
    .join("th")
    .attr("scope", "col")
    .text((d) => d);
  const rows = table
    .select("tbody")
    .selectAll<HTMLTableRowElement, Item>("tr")
    .data(items, (i) => i.key)
    .join((enter) => {
      const tr = enter.append("tr");
      tr.append("th").attr("scope", "row").append("button").attr("type", "button");
      return tr;
    })
    .attr("class", (i) => (i.key === cursorKey ? "is-cursor" : null));
  rows
    .select<HTMLButtonElement>("th button")
    .text((i) => titleOf(i).replace(/, reference drink$/, ""))
    .on("click", (_event, i) => onPick(i.key));
  rows
    .selectAll<HTMLTableCellElement, string>("td")
    .data((i) => [
      KIND[i.kind],
      cell(i, 0),
      cell(i, 1),
      cell(i, 2),
      ...(target ? [target.contains(i.point) ? "yes" : "no"] : []),
    ])
    .join("td")
    .text((d) => d);
}
