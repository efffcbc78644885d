import { scaledDistance, toVec } from "../../engine/axes.ts";
import { button, el, fill, setText } from "../dom.ts";
import { goToRound } from "../edit/bench-edit.ts";
import { takeProposal } from "../edit/take-proposal.ts";
import { createMap } from "../map/index.ts";
import { offers, onMap } from "../state/store.ts";
import type { Panel } from "./context.ts";
import { targetChooser } from "./target-chooser.ts";

/** The balance map with what it is measured against. */
export const mapPanel: Panel = (host, context) => {
  const { store } = context;
  const chooser = el("div", { class: "target" });
  const canvas = el("div", { class: "map-host" });
  const compare = el("select", { id: "compare" });
  const compareWords = el("p", { class: "hint", id: "compare-words" });
  compare.setAttribute("aria-describedby", "compare-words");
  compare.addEventListener("change", () => store.set({ reference: compare.value || null }));

  const updateChooser = targetChooser(chooser, context);
  const map = createMap(canvas, {
    onSelectRound: (id) => goToRound(store, id),
    onFocusGhost: (id) => store.set({ focusedProposal: id ?? offers(store.get())[0]?.id ?? null }),
    onTakeGhost: (id) => takeProposal(context, id),
    onSelectReference: (id) => store.set({ reference: id }),
  });
  const save = button(
    "Save the picture",
    () => {
      const url = URL.createObjectURL(new Blob([map.exportSvg()], { type: "image/svg+xml" }));
      el("a", { href: url, download: "steelyard-map.svg" }).click();
      setTimeout(() => URL.revokeObjectURL(url), 10_000);
    },
    { class: "quiet" },
  );

  fill(
    host,
    el("div", { class: "panel-head" }, el("h2", { id: "map-title" }, "Balance map"), save),
    chooser,
    canvas,
    el("div", { class: "compare" }, el("label", { for: "compare" }, "Set beside"), compare, compareWords),
  );

  return (state, derived) => {
    updateChooser(state, derived);
    if (compare.options.length === 0) {
      compare.append(el("option", { value: "" }, "no classic in particular"));
      for (const { drink } of derived.references) {
        compare.append(el("option", { value: drink.id }, drink.name));
      }
    }
    compare.value = state.reference ?? "";
    const point = derived.placement ? toVec(derived.placement.point) : null;
    const reference = derived.references.find(({ drink }) => drink.id === state.reference);
    setText(
      compareWords,
      reference && point ? besideWords(point, reference.point, reference.drink.name) : "",
    );
    map.update({
      rounds: (derived.trail?.rounds ?? []).map((placed) => {
        const round = derived.bench?.rounds.find((candidate) => candidate.id === placed.id);
        return {
          id: placed.id,
          number: placed.number,
          label: round?.label ?? "",
          point: toVec(placed.placement.point),
          covariance: placed.placement.covariance,
          parent: placed.parent,
          abandoned: round?.abandoned === true,
          current: placed.id === state.round,
        };
      }),
      references: derived.references.map(({ drink, point: at }) => ({
        id: drink.id,
        name: drink.name,
        point: at,
        highlighted: drink.id === state.reference,
      })),
      target: derived.target?.compiled ?? null,
      targetLabel: derived.target?.label ?? "",
      ghosts: onMap(state).map((proposal) => ({
        id: proposal.id,
        name: proposal.name,
        point: toVec(proposal.after),
        path: proposal.path.map((leg) => ({
          ingredient: leg.ingredient,
          label: proposal.moves.find((move) => move.ingredient === leg.ingredient)?.text ?? leg.ingredient,
          points: leg.points,
        })),
        active: proposal.id === state.focusedProposal,
      })),
      live:
        derived.placement && derived.edited
          ? { point: toVec(derived.placement.point), covariance: derived.placement.covariance }
          : null,
    });
  };
};

/** "Beside a Daiquiri: 1.2 sweeter, 0.10 less acid, 2.0 % weaker." */
function besideWords(
  point: readonly [number, number, number],
  other: readonly [number, number, number],
  name: string,
): string {
  if (scaledDistance(point, other) < 0.1)
    return `This sits on top of ${name}: you could not tell them apart by these three.`;
  const words = [
    [point[0] - other[0], 1, "g more sugar", "g less sugar"],
    [point[1] - other[1], 2, "g more acid", "g less acid"],
    [point[2] - other[2], 1, "% vol stronger", "% vol weaker"],
  ] as const;
  const said = words.flatMap(([gap, decimals, more, less]) => {
    const size = Math.abs(gap).toFixed(decimals);
    return Number(size) === 0 ? [] : [`${size} ${gap > 0 ? more : less}`];
  });
  return `Beside ${name}, this has ${said.join(", ")} (sugar and acid per 100 mL).`;
}
