import { formatQuantity } from "../../engine/amounts/format-amount.ts";
import type { ParsedLine, ParsedRecipe } from "../../engine/recipe/parse-recipe.ts";
import { parseRecipe } from "../../engine/recipe/parse-recipe.ts";
import type { SpecLine } from "../../engine/types.ts";
import { button, el, field, fill, uniqueId } from "../dom.ts";
import { reasonOf } from "../state/derived.ts";
import type { Context } from "./context.ts";

/** A pantry item this near to the best match might be the one that was meant. */
const CLOSE_SCORE = 0.1;
const EXAMPLE = "2 oz aged rum\n3/4 oz pineapple juice\n1/2 oz lime\n1/3 oz maple syrup";

/** Paste a spec; see line by line what was read, choose where it was unsure, then use it. */
export function createPasteBox({ store, derive, announce }: Context): HTMLElement {
  const text = el("textarea", {
    rows: "6",
    placeholder: EXAMPLE,
    spellcheck: "false",
  });
  const outcome = el("div", { class: "paste-outcome" });
  const chosen = new Map<number, string>();

  const read = () => {
    chosen.clear();
    const { pantry } = derive();
    let parsed: ParsedRecipe;
    try {
      parsed = parseRecipe(text.value, pantry, { unitSettings: store.get().unitSettings });
    } catch (error) {
      return fill(outcome, el("p", { class: "line-error", role: "alert" }, reasonOf(error)));
    }
    const rows = parsed.lines.filter((line) => line.status !== "blank");
    if (rows.length === 0) {
      fill(outcome, el("p", { class: "hint" }, "Nothing to read yet: one ingredient a line, amount first."));
      return;
    }
    const use = button(
      "Use these lines",
      () => {
        const lines = rows.flatMap((row): SpecLine[] => {
          const ingredient = chosen.get(row.lineNumber);
          if (row.status === "read" && row.line) return [{ ...row.line, ...(ingredient && { ingredient }) }];
          return row.status === "choose" && row.line && ingredient ? [{ ...row.line, ingredient }] : [];
        });
        const { spec } = store.get();
        const { dilution: _, ...kept } = spec;
        store.edit({
          spec: { ...kept, name: parsed.title ?? spec.name, method: parsed.method ?? spec.method, lines },
          rules: {},
          answer: null,
          focusedProposal: null,
        });
        box.open = false;
        announce(`${lines.length} lines are on the bench. Undo brings the old spec back.`);
      },
      { class: "primary" },
    );
    const count = el("p", { class: "hint" });
    const refresh = () => {
      const usable = rows.filter(
        (row) => row.status === "read" || (row.status === "choose" && chosen.has(row.lineNumber)),
      ).length;
      const open = rows.filter((row) => row.status === "choose" && !chosen.has(row.lineNumber)).length;
      const unread = rows.filter((row) => row.status === "unread").length;
      use.disabled = usable === 0;
      count.textContent = `${usable} ready${open > 0 ? `, ${open} to choose` : ""}${
        unread > 0 ? `, ${unread} not read and left out` : ""
      }.`;
    };
    fill(
      outcome,
      el("ul", { class: "paste-lines" }, ...rows.map((row) => pasteLine(row, pantry, chosen, refresh))),
      count,
      el("div", { class: "buttons" }, use),
    );
    refresh();
  };

  const box = el(
    "details",
    { class: "paste", id: "paste" },
    el("summary", {}, "Paste a spec"),
    field("One ingredient a line, as you would write it", text),
    el("div", { class: "buttons" }, button("Read it", read, { class: "primary" })),
    outcome,
  );
  return box;
}

/** Open the box and put the cursor in it, from anywhere on the page. */
export function openPasteBox(): void {
  const box = document.getElementById("paste") as HTMLDetailsElement | null;
  if (!box) return;
  box.open = true;
  box.scrollIntoView({ block: "center" });
  box.querySelector("textarea")?.focus({ preventScroll: true });
}

function pasteLine(
  row: ParsedLine,
  pantry: ReadonlyMap<string, { name: string }>,
  chosen: Map<number, string>,
  refresh: () => void,
): HTMLElement {
  const amount = row.line ? formatQuantity(row.line.amount, row.line.unit) : "";
  const notes = row.assumptions.length > 0 ? el("span", { class: "hint" }, row.assumptions.join("; ")) : null;
  const raw = el("span", { class: "raw" }, row.raw.trim());
  const id = uniqueId("choose");
  const choiceOf = (candidates: ParsedLine["candidates"]) => {
    const choice = el("select", { id });
    choice.append(...candidates.map(({ ingredient, name }) => el("option", { value: ingredient }, name)));
    choice.addEventListener("change", () => {
      if (choice.value === "") chosen.delete(row.lineNumber);
      else chosen.set(row.lineNumber, choice.value);
      refresh();
    });
    return choice;
  };
  if (row.status === "read" && row.line) {
    const rivals = row.candidates.filter(
      ({ score }) => score >= (row.candidates[0]?.score ?? 0) - CLOSE_SCORE,
    );
    const name = pantry.get(row.line.ingredient)?.name ?? row.line.ingredient;
    return rivals.length > 1
      ? el(
          "li",
          { class: "read" },
          raw,
          el("label", { for: id, class: "as" }, `read: ${amount} of`),
          choiceOf(rivals),
          notes,
        )
      : el("li", { class: "read" }, raw, el("span", { class: "as" }, `read: ${amount} ${name}`), notes);
  }
  if (row.status === "choose") {
    const choice = choiceOf(row.candidates);
    choice.prepend(el("option", { value: "" }, "Leave it out"));
    choice.value = "";
    return el(
      "li",
      { class: "choose" },
      raw,
      el("label", { for: id, class: "as" }, `choose which${amount ? ` (${amount})` : ""}`),
      choice,
      row.reason ? el("span", { class: "hint" }, row.reason) : notes,
    );
  }
  return el(
    "li",
    { class: row.status },
    raw,
    el(
      "span",
      { class: "as" },
      row.status === "instruction"
        ? "an instruction, not an ingredient"
        : `not read: ${row.reason ?? "no reason given"}`,
    ),
    notes,
  );
}
