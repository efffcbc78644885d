import type { Ingredient } from "../../engine/types.ts";
import { el, fill, uniqueId } from "../dom.ts";

/** A searchable list of ingredients: type to narrow, arrows to move, Enter to choose, Escape to close. */
export interface Combobox {
  element: HTMLElement;
  input: HTMLInputElement;
  /** Change what may be chosen. */
  offer(ingredients: readonly Ingredient[]): void;
}

const MAX_SHOWN = 60;

function words(text: string): string[] {
  return text
    .toLowerCase()
    .split(/[^\p{L}\p{N}]+/u)
    .filter(Boolean);
}

/** Rank by where the typed words are found: name start, name, alias, role. Empty query keeps pantry order. */
function search(query: string, ingredients: readonly Ingredient[]): Ingredient[] {
  const wanted = words(query);
  if (wanted.length === 0) return [...ingredients];
  return ingredients
    .flatMap((ingredient) => {
      const name = ingredient.name.toLowerCase();
      const rest = `${ingredient.aliases.join(" ")} ${ingredient.role}`.toLowerCase();
      let score = 0;
      for (const word of wanted) {
        if (name.startsWith(word)) score += 4;
        else if (words(name).some((part) => part.startsWith(word))) score += 3;
        else if (name.includes(word)) score += 2;
        else if (rest.includes(word)) score += 1;
        else return [];
      }
      return [{ ingredient, score }];
    })
    .sort((a, b) => b.score - a.score)
    .map((entry) => entry.ingredient);
}

/** Build a combobox by the ARIA pattern (input with a listbox popup). */
export function createCombobox(
  label: string,
  placeholder: string,
  onChoose: (ingredient: Ingredient) => void,
): Combobox {
  const listId = uniqueId("options");
  let offered: readonly Ingredient[] = [];
  let shown: Ingredient[] = [];
  let active = -1;

  const input = el("input", {
    type: "text",
    id: uniqueId("combo"),
    role: "combobox",
    placeholder,
    autocomplete: "off",
    spellcheck: "false",
    "aria-autocomplete": "list",
    "aria-expanded": "false",
    "aria-controls": listId,
  });
  const list = el("ul", { id: listId, role: "listbox", "aria-label": label, hidden: true });
  const element = el(
    "div",
    { class: "combobox" },
    el("label", { for: input.id }, label),
    el("div", { class: "combobox-box" }, input, list),
  );

  const close = () => {
    list.hidden = true;
    active = -1;
    input.setAttribute("aria-expanded", "false");
    input.removeAttribute("aria-activedescendant");
  };
  const choose = (ingredient: Ingredient) => {
    input.value = "";
    close();
    onChoose(ingredient);
  };
  const render = () => {
    shown = search(input.value, offered).slice(0, MAX_SHOWN);
    list.hidden = false;
    input.setAttribute("aria-expanded", "true");
    if (active >= shown.length) active = shown.length - 1;
    fill(
      list,
      ...(shown.length === 0
        ? [
            el(
              "li",
              { class: "none", role: "option", "aria-disabled": "true" },
              "Nothing in the pantry by that name",
            ),
          ]
        : shown.map((ingredient, i) => {
            const option = el(
              "li",
              { id: `${listId}-${i}`, role: "option", "aria-selected": i === active ? "true" : "false" },
              el("span", {}, ingredient.name),
              el("span", { class: "role" }, ingredient.role.replace("-", " ")),
            );
            // The input keeps the focus, so that its blur does not close the list before the click.
            option.addEventListener("mousedown", (event) => event.preventDefault());
            option.addEventListener("click", () => choose(ingredient));
            return option;
          })),
    );
    const current = active >= 0 ? list.children[active] : undefined;
    if (current) {
      input.setAttribute("aria-activedescendant", current.id);
      current.scrollIntoView({ block: "nearest" });
    } else input.removeAttribute("aria-activedescendant");
  };

  input.addEventListener("input", () => {
    active = input.value.trim() === "" ? -1 : 0;
    render();
  });
  input.addEventListener("click", () => render());
  input.addEventListener("blur", close);
  input.addEventListener("keydown", (event) => {
    if (event.key === "ArrowDown" || event.key === "ArrowUp") {
      event.preventDefault();
      if (!list.hidden && shown.length > 0) {
        active = (active + (event.key === "ArrowDown" ? 1 : -1) + shown.length) % shown.length;
      } else active = 0;
      render();
    } else if (event.key === "Enter") {
      event.preventDefault();
      const ingredient = shown[Math.max(active, 0)];
      if (!list.hidden && ingredient) choose(ingredient);
    } else if (event.key === "Escape") {
      if (list.hidden) input.value = "";
      close();
    }
  });

  return {
    element,
    input,
    offer(ingredients) {
      offered = ingredients;
      if (!list.hidden) render();
    },
  };
}
