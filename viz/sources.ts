import type { Ingredient, Source, SourcedValue } from "../engine/types.ts";
import { loadPageData, type PageData } from "./data/client.ts";
import { el, fill, tableHead } from "./dom.ts";
import { loadSettings } from "./state/bench-storage.ts";

const EVIDENCE: Record<Source["evidence"], string> = {
  read: "read at the source",
  quoted: "read where another text quotes it",
  computed: "computed from a formula we read",
  memory: "from memory",
  convention: "common practice, no published source",
  estimate: "our estimate",
};

interface Figure {
  quantity: string;
  unit: string;
  value: SourcedValue;
}

function figuresOf(ingredient: Ingredient): Figure[] {
  const out: Figure[] = [];
  const put = (quantity: string, unit: string, value: SourcedValue | undefined) => {
    if (value) out.push({ quantity, unit, value });
  };
  put("Alcohol", "% vol", ingredient.abvPercent);
  for (const [sugar, value] of Object.entries(ingredient.sugarsGPer100Ml)) put(sugar, "g/100 mL", value);
  for (const [acid, value] of Object.entries(ingredient.acidsGPer100Ml))
    put(`${acid} acid`, "g/100 mL", value);
  put("Density", "g/mL", ingredient.densityGPerMl);
  put("Other solids", "g/100 mL", ingredient.otherSolidsGPer100Ml);
  put("One piece", "mL", ingredient.pieceMl);
  return out;
}

const number = (x: number) => String(Number(x.toPrecision(4)));

function sourceLink(id: string): HTMLElement {
  return el("a", { href: `#source-${id}` }, id);
}

function ingredientRows(ingredient: Ingredient): HTMLElement {
  const figures = figuresOf(ingredient);
  const rows = figures.map(({ quantity, unit, value }) =>
    el(
      "tr",
      {},
      el("th", { scope: "row" }, quantity),
      el("td", { class: "figure" }, `${number(value.value)} ± ${number(value.sd)}`),
      el("td", {}, unit),
      el(
        "td",
        {},
        sourceLink(value.source),
        value.memory ? el("span", { class: "memory" }, "from memory") : null,
      ),
      el("td", {}, value.note ?? ""),
    ),
  );
  const others = (ingredient.disagreements ?? []).map((other) =>
    el(
      "tr",
      { class: "disagrees" },
      el("th", { scope: "row" }, `${other.quantity}, elsewhere`),
      el("td", { class: "figure" }, `${number(other.value)} ± ${number(other.sd)}`),
      el("td", {}, other.unit),
      el("td", {}, sourceLink(other.source)),
      el("td", {}, other.note ?? "disagrees with the figure used"),
    ),
  );
  return el(
    "section",
    {
      class: "panel ingredient",
      id: ingredient.id,
      "aria-labelledby": `${ingredient.id}-name`,
      tabindex: "-1",
    },
    el("h3", { id: `${ingredient.id}-name` }, ingredient.name),
    ingredient.note ? el("p", { class: "hint" }, ingredient.note) : null,
    el(
      "div",
      { class: "scroll", tabindex: "0", role: "region", "aria-label": `${ingredient.name}: figures` },
      el(
        "table",
        {},
        tableHead("Figure", "Value ± uncertainty", "Unit", "Source", "Note"),
        el("tbody", {}, ...rows, ...others),
      ),
    ),
  );
}

function render(data: PageData): void {
  const search = el("input", { type: "search", id: "find", placeholder: "lemon, syrup, rum…" });
  const sections = data.pantry.map((ingredient) => ({
    words: `${ingredient.name} ${ingredient.aliases.join(" ")} ${ingredient.role}`.toLowerCase(),
    section: ingredientRows(ingredient),
  }));
  const found = el("p", { class: "hint", role: "status" });
  search.addEventListener("input", () => {
    const wanted = search.value.trim().toLowerCase();
    let shown = 0;
    for (const { words, section } of sections) {
      section.hidden = !words.includes(wanted);
      if (!section.hidden) shown += 1;
    }
    found.textContent = `${shown} of ${sections.length} ingredients`;
  });
  const used = (id: string) =>
    data.pantry.filter((ingredient) => figuresOf(ingredient).some(({ value }) => value.source === id)).length;
  fill(
    document.getElementById("sources")!,
    el(
      "section",
      { class: "panel", id: "ingredients", tabindex: "-1", "aria-labelledby": "ingredients-title" },
      el("h2", { id: "ingredients-title" }, "Ingredients"),
      el(
        "p",
        {},
        "Per 100 mL at 20 °C. The number after ± is the standard uncertainty: about two times in three the true value lies that close. Acidity on the map counts every acid by the base it takes up, as citric acid. Where books disagree, both figures are here and the uncertainty covers them.",
      ),
      el("div", { class: "field" }, el("label", { for: "find" }, "Find an ingredient"), search),
      found,
    ),
    el("div", { class: "ingredient-grid" }, ...sections.map(({ section }) => section)),
    el(
      "section",
      { class: "panel", "aria-labelledby": "drinks-title" },
      el("h2", { id: "drinks-title" }, "Classic drinks"),
      el(
        "p",
        {},
        "The families on the map are made from these specs, each placed by the same model as yours.",
      ),
      el(
        "div",
        { class: "scroll", tabindex: "0", role: "region", "aria-label": "Classic drinks and their sources" },
        el(
          "table",
          {},
          tableHead("Drink", "Families", "Source", "Note"),
          el(
            "tbody",
            {},
            ...data.drinks.map((drink) =>
              el(
                "tr",
                {},
                el("th", { scope: "row" }, drink.name),
                el(
                  "td",
                  {},
                  drink.families
                    .map((id) => data.families.find((family) => family.id === id)?.name ?? id)
                    .join(", "),
                ),
                el(
                  "td",
                  {},
                  sourceLink(drink.source),
                  drink.memory ? el("span", { class: "memory" }, "from memory") : null,
                ),
                el("td", {}, drink.note ?? ""),
              ),
            ),
          ),
        ),
      ),
    ),
    el(
      "section",
      { class: "panel", id: "cautions", "aria-labelledby": "cautions-title" },
      el("h2", { id: "cautions-title" }, "Cautions"),
      el(
        "ul",
        {},
        ...data.cautions.map((caution) =>
          el("li", {}, el("strong", {}, `${caution.title}. `), caution.text, " ", sourceLink(caution.source)),
        ),
      ),
    ),
    el(
      "section",
      { class: "panel", "aria-labelledby": "sources-title" },
      el("h2", { id: "sources-title" }, "Sources"),
      el(
        "dl",
        { class: "citations" },
        ...data.sources.map((source) =>
          el(
            "div",
            { id: `source-${source.id}`, tabindex: "-1" },
            el("dt", {}, source.id),
            el(
              "dd",
              {},
              source.citation,
              el("span", { class: `evidence evidence-${source.evidence}` }, EVIDENCE[source.evidence]),
              used(source.id) > 0
                ? el("span", { class: "hint" }, `behind ${used(source.id)} ingredients`)
                : null,
              source.note ? el("p", { class: "hint" }, source.note) : null,
            ),
          ),
        ),
      ),
    ),
  );
  // The page is filled after it loads, so the fragment of the address is followed by hand.
  const wanted = document.getElementById(decodeURIComponent(location.hash.slice(1)));
  wanted?.scrollIntoView();
  wanted?.focus({ preventScroll: true });
}

document.documentElement.dataset.theme = loadSettings(localStorage).theme ?? "auto";
loadPageData()
  .then(render)
  .catch((error: unknown) => {
    fill(
      document.getElementById("sources")!,
      el(
        "p",
        { class: "opening", role: "alert" },
        `The books could not be opened. ${error instanceof Error ? error.message : String(error)}`,
      ),
    );
  });
