import { useId, useRef, useState } from "preact/hooks";
import type { Ingredient } from "../../engine/types.ts";

const MAX_SHOWN = 60;

function words(text: string): string[] {
  return text
    .toLowerCase()
    .split(/[^\p{L}\p{N}]+/u)
    .filter(Boolean);
}

/**
 * Rank by where the typed words are found: name start, name, alias, role. What is called just so comes before others as
 * good, and then what any bar has at hand. Empty query keeps pantry order.
 */
export function searchPantry(query: string, ingredients: readonly Ingredient[]): Ingredient[] {
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
      if (ingredient.aliases.includes(query.trim().toLowerCase())) score += 0.5;
      return [{ ingredient, score: score + (ingredient.staple ? 0.25 : 0) }];
    })
    .sort((a, b) => b.score - a.score)
    .map((entry) => entry.ingredient);
}

/**
 * A searchable list of ingredients by the ARIA pattern: type to narrow, arrows to move, Enter to choose,
 * Escape to close. With `onNew`, what was typed can be made an ingredient of one's own from here.
 */
export function Combobox({
  label,
  placeholder,
  ingredients,
  onChoose,
  onNew,
  onOpen,
  id,
}: {
  label: string;
  placeholder: string;
  ingredients: readonly Ingredient[];
  onChoose: (ingredient: Ingredient) => void;
  onNew?: (name: string) => void;
  /** The list is about to be searched. */
  onOpen?: () => void;
  id?: string;
}) {
  const ownId = useId();
  const inputId = id ?? ownId;
  const listId = `${inputId}-list`;
  const [query, setQuery] = useState("");
  const [open, setOpen] = useState(false);
  const [active, setActive] = useState(-1);
  const list = useRef<HTMLDivElement>(null);

  const shown = open ? searchPantry(query, ingredients).slice(0, MAX_SHOWN) : [];
  const offersNew = open && onNew !== undefined && query.trim() !== "";
  const count = shown.length + (offersNew ? 1 : 0);
  const close = () => {
    setOpen(false);
    setActive(-1);
  };
  const choose = (index: number) => {
    const ingredient = shown[index];
    const name = query.trim();
    setQuery("");
    close();
    if (ingredient) onChoose(ingredient);
    else if (offersNew) onNew(name);
  };
  const move = (step: number) => {
    setOpen(true);
    const next = active < 0 ? (step > 0 ? 0 : count - 1) : (active + step + count) % Math.max(count, 1);
    setActive(next);
    queueMicrotask(() => list.current?.children[next]?.scrollIntoView({ block: "nearest" }));
  };
  const onKeyDown = (event: KeyboardEvent) => {
    if (event.key === "ArrowDown" || event.key === "ArrowUp") move(event.key === "ArrowDown" ? 1 : -1);
    else if (event.key === "Enter" && open) choose(Math.max(active, 0));
    else if (event.key === "Escape") {
      if (!open) setQuery("");
      close();
    } else return;
    event.preventDefault();
  };
  // The input keeps the focus, so that its blur does not close the list before the click.
  const option = (index: number) => ({
    id: `${listId}-${index}`,
    role: "option" as const,
    tabIndex: -1,
    "aria-selected": index === active,
    onMouseDown: (event: MouseEvent) => event.preventDefault(),
    onClick: () => choose(index),
  });
  return (
    <div class="combobox">
      <label for={inputId}>{label}</label>
      <div class="combobox-box">
        <input
          type="text"
          id={inputId}
          role="combobox"
          placeholder={placeholder}
          autocomplete="off"
          spellcheck={false}
          aria-autocomplete="list"
          aria-expanded={open}
          aria-controls={listId}
          aria-activedescendant={open && active >= 0 ? `${listId}-${active}` : undefined}
          value={query}
          onInput={(event) => {
            setQuery(event.currentTarget.value);
            setOpen(true);
            setActive(event.currentTarget.value.trim() === "" ? -1 : 0);
          }}
          onFocus={onOpen}
          onClick={() => setOpen(true)}
          onBlur={close}
          onKeyDown={onKeyDown}
        />
        <div id={listId} role="listbox" aria-label={label} hidden={!open} ref={list}>
          {shown.map((ingredient, i) => (
            <div key={ingredient.id} {...option(i)}>
              <span>{ingredient.name}</span>
              <span class="role">{ingredient.role.replace("-", " ")}</span>
            </div>
          ))}
          {offersNew && (
            <div key="new" class="new" {...option(shown.length)}>
              <span>Make “{query.trim()}” an ingredient of your own</span>
            </div>
          )}
          {count === 0 && (
            <div class="none" role="option" aria-disabled="true" aria-selected="false" tabIndex={-1}>
              Nothing in the pantry by that name
            </div>
          )}
        </div>
      </div>
    </div>
  );
}
