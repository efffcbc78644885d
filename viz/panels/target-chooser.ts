import { SMALLEST_FAMILY } from "../../engine/targets/family-target.ts";
import type { Interval } from "../../engine/types.ts";
import { button, el, fill, uniqueId } from "../dom.ts";
import type { TargetPart } from "../state/view.ts";
import type { Panel } from "./context.ts";

const COVERAGES = [0.5, 0.75, 0.9, 0.95];

function keyOf(part: TargetPart): string {
  if (part.kind === "family") return `family:${part.family}`;
  if (part.kind === "band") return `band:${part.band}`;
  return part.kind;
}

function partFor(key: string): TargetPart {
  const [kind, id] = key.split(":");
  if (kind === "family") return { kind, family: id ?? "", coverage: 0.9 };
  if (kind === "band") return { kind, band: id ?? "" };
  if (kind === "ratio") return { kind, min: 6, max: 10 };
  if (kind === "plane") return { kind, normal: [0, 0, 1], offset: 20 };
  return { kind: "box", sugar: [5, 9], acid: [0.6, 1], abv: [14, 20] };
}

/** What counts as "in range": a family of classics, a published band, own limits, or several at once. */
export const targetChooser: Panel = (host, { store, data, derive }) => {
  const rows = el("ul", { class: "target-parts" });
  const notes = el(
    "details",
    { class: "target-notes" },
    el("summary", {}, "How this range was made"),
    el("div", {}),
  );
  const problem = el("p", { class: "line-error", role: "alert" });
  const set = (target: TargetPart[]) =>
    store.set({ target, answer: null, reply: null, focusedProposal: null });
  let rendered: TargetPart[] | null = null;
  let ownChange = false;

  const numberInput = (
    label: string,
    value: number | null,
    step: string,
    onChange: (x: number | null) => void,
  ) => {
    const id = uniqueId("t");
    const input = el("input", { type: "number", id, step, placeholder: "open", value: value ?? undefined });
    input.addEventListener("change", () => {
      ownChange = true;
      onChange(Number.isFinite(input.valueAsNumber) ? input.valueAsNumber : null);
    });
    return el("span", { class: "mini" }, el("label", { for: id }, label), input);
  };
  const pair = (
    label: string,
    unit: string,
    value: Interval,
    step: string,
    onChange: (x: Interval) => void,
  ) => {
    let [low, high] = value;
    return el(
      "div",
      { class: "pair", role: "group", "aria-label": `${label}, ${unit}` },
      el("span", { class: "pair-name" }, label, " ", el("small", {}, unit)),
      numberInput("least", low, step, (x) => {
        low = x;
        onChange([low, high]);
      }),
      numberInput("most", high, step, (x) => {
        high = x;
        onChange([low, high]);
      }),
    );
  };

  const render = (parts: TargetPart[]) => {
    const { references } = derive();
    const replace = (index: number, part: TargetPart) =>
      set(store.get().target.map((old, i) => (i === index ? part : old)));
    fill(
      rows,
      ...parts.map((part, index) => {
        const id = uniqueId("target");
        const kind = el("select", { id });
        const families = el("optgroup", { label: "From the classics of a family" });
        for (const family of data.families) {
          const n = references.filter(({ drink }) => drink.families.includes(family.id)).length;
          if (n >= SMALLEST_FAMILY) {
            families.append(el("option", { value: `family:${family.id}` }, `${family.name} (${n} drinks)`));
          }
        }
        const bands = el("optgroup", { label: "Published, one author's" });
        for (const band of data.bands) bands.append(el("option", { value: `band:${band.id}` }, band.name));
        const own = el("optgroup", { label: "My own" });
        own.append(
          el("option", { value: "box" }, "A box: least and most on each axis"),
          el("option", { value: "ratio" }, "A sugar : acid band"),
          el("option", { value: "plane" }, "A slanted limit across the axes"),
        );
        kind.append(families, bands, own);
        kind.value = keyOf(part);
        kind.addEventListener("change", () => replace(index, partFor(kind.value)));
        return el(
          "li",
          { class: "target-part" },
          el(
            "div",
            { class: "target-row" },
            el("label", { for: id }, index === 0 ? "In range means" : "and also"),
            kind,
            part.kind === "family" ? coverage(part, (next) => replace(index, next)) : null,
            parts.length > 1
              ? button("Remove", () => set(store.get().target.filter((_, i) => i !== index)), {
                  class: "quiet",
                })
              : null,
          ),
          details(part, (next) => replace(index, next)),
        );
      }),
    );
  };

  const coverage = (part: Extract<TargetPart, { kind: "family" }>, onChange: (part: TargetPart) => void) => {
    const id = uniqueId("coverage");
    const choice = el("select", { id });
    const offered = COVERAGES.includes(part.coverage) ? COVERAGES : [...COVERAGES, part.coverage].sort();
    for (const value of offered) {
      choice.append(el("option", { value: String(value) }, `${Math.round(value * 100)} %`));
    }
    choice.value = String(part.coverage);
    choice.addEventListener("change", () => onChange({ ...part, coverage: Number(choice.value) }));
    return el("span", { class: "mini" }, el("label", { for: id }, "holding"), choice, "of such drinks");
  };
  const details = (part: TargetPart, onChange: (part: TargetPart) => void): HTMLElement | null => {
    if (part.kind === "box") {
      let now = part;
      const change = (patch: Partial<typeof part>) => {
        now = { ...now, ...patch };
        onChange(now);
      };
      return el(
        "div",
        { class: "pairs" },
        pair("Sugar", "g/100 mL", part.sugar, "0.1", (sugar) => change({ sugar })),
        pair("Acid", "g/100 mL", part.acid, "0.01", (acid) => change({ acid })),
        pair("Alcohol", "% vol", part.abv, "0.5", (abv) => change({ abv })),
      );
    }
    if (part.kind === "ratio") {
      return el(
        "div",
        { class: "pairs" },
        pair("Sugar : acid", "g per g", [part.min, part.max], "0.1", ([min, max]) => {
          if (min !== null || max !== null) onChange({ kind: "ratio", min, max });
        }),
      );
    }
    if (part.kind === "plane") {
      const values = [...part.normal, part.offset];
      const change = (i: number, x: number | null) => {
        values[i] = x ?? 0;
        const [a, b, c, offset] = values as [number, number, number, number];
        if (a !== 0 || b !== 0 || c !== 0) onChange({ kind: "plane", normal: [a, b, c], offset });
      };
      return el(
        "div",
        { class: "pairs plane" },
        numberInput("sugar ×", part.normal[0], "any", (x) => change(0, x)),
        numberInput("+ acid ×", part.normal[1], "any", (x) => change(1, x)),
        numberInput("+ alcohol ×", part.normal[2], "any", (x) => change(2, x)),
        numberInput("is at most", part.offset, "any", (x) => change(3, x)),
      );
    }
    return null;
  };

  fill(
    host,
    rows,
    el(
      "div",
      { class: "target-foot" },
      notes,
      button("Add another requirement", () => set([...store.get().target, partFor("ratio")]), {
        class: "quiet",
      }),
    ),
    problem,
  );

  return (state, derived) => {
    if (state.target !== rendered) {
      // Typing in a number field must not rebuild the field under the cursor.
      const sameShape = rendered?.map(keyOf).join() === state.target.map(keyOf).join();
      if (!(ownChange && sameShape)) render(state.target);
      rendered = state.target;
      ownChange = false;
    }
    problem.textContent = derived.targetProblem ?? "";
    problem.hidden = derived.targetProblem === null;
    const lines = derived.target?.notes ?? [];
    notes.hidden = lines.length === 0;
    fill(notes.lastElementChild!, ...lines.map((line) => el("p", { class: "hint" }, line)));
  };
};
