import { select as pick } from "d3";
import { toVec } from "../../engine/axes.ts";
import type { Round, TrailRound, TrailStep } from "../../engine/types.ts";
import { button, el, field, fill, setText, tableHead } from "../dom.ts";
import { changeRound, goToRound, saveRound, setAbandoned } from "../edit/bench-edit.ts";
import { volumeWords } from "../words/facts.ts";
import { axisChange, axisNumber } from "../words/verdict.ts";
import type { Context, Panel } from "./context.ts";

const AXIS_NAMES = ["sugar", "acid", "alcohol"] as const;

/** The bench's rounds: what changed, how far each has drifted, what the tasters found. */
export const rounds: Panel = (host, context) => {
  const { store, derive } = context;
  const list = el("ol", { class: "rounds" });
  const label = el("input", {
    type: "text",
    id: "round-label",
    maxlength: "80",
    placeholder: "What you changed, in a few words",
  });
  const save = button(
    "Save as a new round",
    () => {
      const state = store.get();
      const text = label.value.trim() || describeEdit(context);
      const round = saveRound(store, state.spec, text);
      label.value = "";
      store.set({ notice: { tone: "info", text: `Kept as round ${round.number}.` } });
    },
    { class: "primary", id: "save-round" },
  );
  const problem = el("p", { class: "line-error", role: "alert" });
  const hint = el("p", { class: "hint" });
  const rows = new WeakMap<Element, ReturnType<typeof roundRow>>();

  fill(
    host,
    el("h2", { id: "rounds-title" }, "Rounds"),
    el("div", { class: "save-row" }, field("Name for a new round", label), save),
    hint,
    problem,
    list,
  );

  return (state, derived) => {
    const shown = [...(derived.bench?.rounds ?? [])].sort((a, b) => b.number - a.number);
    save.disabled = state.spec.lines.length === 0;
    setText(
      hint,
      derived.round
        ? derived.edited
          ? `The spec on the bench differs from round ${derived.round.number}; saving makes it a child of that round.`
          : `Round ${derived.round.number} is on the bench. Opening an older one and saving makes a fork.`
        : "Saving makes this the first round.",
    );
    setText(problem, derived.trailProblem ?? "");
    problem.hidden = derived.trailProblem === null;
    pick(list)
      .selectAll<HTMLLIElement, Round>("li.round")
      .data(shown, (round) => round.id)
      .join((enter) =>
        enter.append((round) => {
          const row = roundRow(context, round.id);
          rows.set(row.element, row);
          return row.element;
        }),
      )
      .order()
      .each(function (round) {
        rows
          .get(this)
          ?.update(
            round,
            derive().bench?.rounds.find((other) => other.id === round.parent) ?? null,
            derived.trail?.rounds.find((placed) => placed.id === round.id) ?? null,
            derived.trail?.steps.find((step) => step.to === round.id) ?? null,
            round.id === state.round,
          );
      });
  };
};

function describeEdit({ store, derive }: Context): string {
  const { round } = derive();
  const { spec } = store.get();
  if (!round) return "First pour";
  const before = new Map(round.spec.lines.map((line) => [line.ingredient, line]));
  const changed = spec.lines.filter((line) => {
    const old = before.get(line.ingredient);
    before.delete(line.ingredient);
    return !old || old.amount !== line.amount || old.unit !== line.unit;
  });
  const names = [...changed.map((line) => line.ingredient), ...before.keys()].map(
    (id) => derive().pantry.get(id)?.name ?? id,
  );
  return names.length > 0 ? `Changed ${names.slice(0, 3).join(", ").toLowerCase()}` : "The same again";
}

function roundRow(context: Context, id: string) {
  const { store } = context;
  const badge = el("span", { class: "round-number" });
  const label = el("input", { type: "text", class: "round-label", maxlength: "80" });
  label.addEventListener("change", () => {
    const text = label.value.trim();
    if (text) changeRound(store, id, { label: text });
  });
  const from = el("p", { class: "round-from" });
  const numbers = el("p", { class: "round-numbers" });
  const open = button("Open", () => goToRound(store, id), { class: "quiet" });
  const abandon = button("Abandon", () => setAbandoned(store, id, abandon.dataset.abandoned !== "true"), {
    class: "quiet",
  });
  const faults = el("input", { type: "text", placeholder: "thin, fruit lost" });
  faults.addEventListener("change", () =>
    changeRound(store, id, {
      faults: faults.value
        .split(",")
        .map((fault) => fault.trim())
        .filter(Boolean),
    }),
  );
  const notes = el("textarea", { rows: "2" });
  notes.addEventListener("change", () => changeRound(store, id, { notes: notes.value }));
  const shares = el("div", { class: "shares" });
  const found = el("p", { class: "round-found" });
  const summary = el("summary", {}, "Notes, and what each move did");
  const element = el(
    "li",
    { class: "round" },
    badge,
    el(
      "div",
      { class: "round-body" },
      el("div", { class: "round-top" }, label, el("div", { class: "buttons" }, open, abandon)),
      from,
      found,
      numbers,
      el(
        "details",
        {},
        summary,
        el(
          "div",
          { class: "round-more" },
          field("Faults, in the tasters' words", faults),
          field("Notes", notes),
          shares,
        ),
      ),
    ),
  );
  return {
    element,
    update(
      round: Round,
      parent: Round | null,
      placed: TrailRound | null,
      step: TrailStep | null,
      current: boolean,
    ) {
      setText(badge, String(round.number));
      label.setAttribute("aria-label", `Name of round ${round.number}`);
      if (document.activeElement !== label) label.value = round.label;
      element.classList.toggle("is-current", current);
      element.classList.toggle("is-abandoned", round.abandoned === true);
      if (current) element.setAttribute("aria-current", "true");
      else element.removeAttribute("aria-current");
      open.disabled = false;
      setText(open, current ? "On the bench" : "Open");
      open.setAttribute(
        "aria-label",
        current ? `On the bench: round ${round.number}, open it as saved` : `Open round ${round.number}`,
      );
      abandon.dataset.abandoned = String(round.abandoned === true);
      setText(abandon, round.abandoned ? "Bring back" : "Abandon");
      abandon.setAttribute(
        "aria-label",
        `${round.abandoned ? "Bring back" : "Abandon"} round ${round.number} and what grew from it`,
      );
      setText(
        from,
        parent
          ? `From round ${parent.number}: ${step ? (step.changes.length > 0 ? step.changes.map((change) => change.text).join("; ") : step.text) : "not placed"}`
          : "The first round.",
      );
      const words = [
        round.faults && round.faults.length > 0 ? `Found ${round.faults.join(", ")}.` : "",
        round.notes ?? "",
      ].filter(Boolean);
      setText(found, words.join(" "));
      found.hidden = words.length === 0;
      summary.setAttribute("aria-label", `Notes, and what each move did: round ${round.number}`);
      if (placed) {
        const point = toVec(placed.placement.point);
        setText(
          numbers,
          `${axisNumber(0, point[0])} sugar · ${axisNumber(1, point[1])} acid · ${axisNumber(2, point[2])} % vol · ${volumeWords(placed.placement.finishedVolumeMl, store.get().units)}${round.parent === null ? "" : ` · drift ${placed.drift.toFixed(1)} from round 1`}`,
        );
      } else setText(numbers, "could not be placed");
      if (document.activeElement !== faults) faults.value = (round.faults ?? []).join(", ");
      if (document.activeElement !== notes) notes.value = round.notes ?? "";
      const key = step ? JSON.stringify(step.changes) : "";
      if (shares.dataset.key === key) return;
      shares.dataset.key = key;
      if (!step || step.changes.length === 0) return fill(shares);
      fill(
        shares,
        el(
          "div",
          {
            class: "scroll",
            tabindex: "0",
            role: "region",
            "aria-label": `Round ${round.number}: share of each move`,
          },
          el(
            "table",
            {},
            el(
              "caption",
              {},
              "Share of each move in this step (averaged over every order they could be made in)",
            ),
            tableHead("Move", ...AXIS_NAMES),
            el(
              "tbody",
              {},
              ...step.changes.map((change) =>
                el(
                  "tr",
                  {},
                  el("th", { scope: "row" }, change.text),
                  ...([0, 1, 2] as const).map((k) => el("td", {}, axisChange(k, change.share[k]))),
                ),
              ),
              el(
                "tr",
                { class: "sum" },
                el("th", { scope: "row" }, "The step"),
                ...([0, 1, 2] as const).map((k) => el("td", {}, axisChange(k, step.vector[k]))),
              ),
            ),
          ),
        ),
      );
    },
  };
}
