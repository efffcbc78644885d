import { button, el, fill, select, setText } from "../dom.ts";
import { openBench, startBench } from "../edit/bench-edit.ts";
import { newId, readBench } from "../state/bench-storage.ts";
import { encodeView, encodeViewWithBench } from "../state/url-codec.ts";
import type { LadderChoice } from "../state/view.ts";
import type { Panel } from "./context.ts";
import { createMeasures } from "./measures.ts";

const LADDER_NAMES: { value: LadderChoice["id"]; label: string }[] = [
  { value: "us-jigger", label: "US jigger · ⅛ oz" },
  { value: "metric-jigger", label: "Metric jigger · 2.5 mL" },
  { value: "scale", label: "Scale · 0.5 g" },
  { value: "own", label: "Own step" },
];

/** The name, what this is for, the bench in work, and how the user measures. */
export const header: Panel = (host, context) => {
  const { store, data, announce } = context;
  const measures = createMeasures(context);
  const set = store.set;
  const unitButtons = (["oz", "ml"] as const).map((unit) =>
    button(unit === "oz" ? "oz" : "mL", () => set({ units: unit }), { class: "segment", "data-unit": unit }),
  );
  const ladder = select(LADDER_NAMES, "us-jigger", (id) =>
    set({ ladder: id === "own" ? { id, stepMl: store.get().ladder.stepMl ?? 5 } : { id } }),
  );
  ladder.id = "ladder";
  const step = el("input", { type: "number", id: "ladder-step", min: "0.1", max: "100", step: "0.1" });
  step.addEventListener("change", () => {
    const stepMl = step.valueAsNumber;
    if (stepMl >= 0.1 && stepMl <= 100) set({ ladder: { id: "own", stepMl } });
    else step.value = String(store.get().ladder.stepMl ?? 5);
  });
  const stepField = el("div", { class: "setting" }, el("label", { for: "ladder-step" }, "Step, mL"), step);
  const theme = select(
    [
      { value: "auto", label: "Auto" },
      { value: "light", label: "Light" },
      { value: "dark", label: "Dark" },
    ] as const,
    "auto",
    (value) => set({ theme: value }),
  );
  theme.id = "theme";

  const benchSelect = el("select", { id: "bench-select" });
  benchSelect.addEventListener("change", () => {
    const bench = store.get().benches.find((candidate) => candidate.id === benchSelect.value);
    if (bench) openBench(store, bench);
  });
  const badge = el("span", { class: "badge" }, "Invented demo");
  const story = el("p", { class: "story" });
  const name = el("input", { type: "text", id: "bench-name", maxlength: "80" });
  name.addEventListener("change", () => {
    const wanted = name.value.trim();
    const { benches, bench } = store.get();
    if (wanted) set({ benches: benches.map((b) => (b.id === bench ? { ...b, name: wanted } : b)) });
  });
  const file = el("input", {
    type: "file",
    accept: "application/json,.json",
    id: "bench-file",
    class: "visually-hidden",
  });
  file.addEventListener("change", async () => {
    const chosen = file.files?.[0];
    file.value = "";
    if (!chosen) return;
    let bench: ReturnType<typeof readBench>;
    try {
      bench = readBench(JSON.parse(await chosen.text()));
    } catch {
      bench = "The file is not JSON. Choose a file that “Export” on this page made.";
    }
    if (typeof bench === "string") {
      set({ notice: { tone: "problem", text: `${chosen.name} was not opened. ${bench}` } });
      return;
    }
    const taken = store.get().benches.some((other) => other.id === (bench as { id: string }).id);
    const opened = taken ? { ...bench, id: newId("bench"), name: `${bench.name} (imported)` } : bench;
    set({ benches: [...store.get().benches, opened] });
    openBench(store, opened);
    announce(`Opened ${opened.name} from a file.`);
  });
  const exportBench = () => {
    const { benches, bench } = store.get();
    const open = benches.find((candidate) => candidate.id === bench);
    if (!open) return;
    const url = URL.createObjectURL(new Blob([JSON.stringify(open, null, 2)], { type: "application/json" }));
    const link = el("a", { href: url, download: `${open.name.replace(/[^\p{L}\p{N}]+/gu, "-")}.bench.json` });
    link.click();
    setTimeout(() => URL.revokeObjectURL(url), 10_000);
  };
  const copyLink = async () => {
    try {
      const { benches, bench } = store.get();
      const open = benches.find((candidate) => candidate.id === bench);
      const fragment = open ? encodeViewWithBench(store.get(), open) : encodeView(store.get());
      await navigator.clipboard.writeText(`${location.origin}${location.pathname}#${fragment}`);
      set({
        notice: { tone: "info", text: "The link is copied: it carries this view, the bench and its rounds." },
      });
    } catch {
      set({
        notice: {
          tone: "info",
          text: "This browser does not let a page copy. The address of this page reproduces the view, without the rounds.",
        },
      });
    }
  };

  fill(
    host,
    el(
      "div",
      { class: "masthead-top" },
      el(
        "div",
        { class: "brand" },
        el("img", { src: "./mark.svg", alt: "", width: "40", height: "40" }),
        el(
          "div",
          {},
          el("h1", {}, "Steelyard"),
          el(
            "p",
            { class: "tagline" },
            "Weigh a drink by the sugar, acid and alcohol in the finished glass, and find the least change of pours that brings it into range.",
          ),
        ),
      ),
      el(
        "div",
        { class: "settings", role: "group", "aria-label": "How you measure" },
        el(
          "div",
          { class: "setting", role: "group", "aria-label": "Units" },
          el("span", { class: "setting-name", "aria-hidden": "true" }, "Units"),
          el("div", { class: "segments" }, ...unitButtons),
        ),
        el("div", { class: "setting" }, el("label", { for: "ladder" }, "Pour ladder"), ladder),
        stepField,
        el("div", { class: "setting" }, el("label", { for: "theme" }, "Theme"), theme),
      ),
    ),
    el(
      "div",
      { class: "benchbar" },
      el(
        "div",
        { class: "bench-open" },
        el("label", { for: "bench-select", class: "setting-name" }, "Bench"),
        benchSelect,
        badge,
      ),
      story,
      measures.element,
      el(
        "details",
        { class: "bench-menu" },
        el("summary", {}, "Bench file"),
        el(
          "div",
          { class: "bench-menu-body" },
          el("div", { class: "field" }, el("label", { for: "bench-name" }, "Name of this bench"), name),
          el(
            "div",
            { class: "buttons" },
            button("Start a new bench", () => startBench(store, data)),
            button("Open a fresh copy of the demo", () => {
              const copy = { ...data.demo, id: newId("demo") };
              set({ benches: [...store.get().benches, copy] });
              openBench(store, copy);
            }),
            button("Export as a file", exportBench),
            el("label", { for: "bench-file", class: "button" }, "Import a file"),
            file,
            button("Copy a link to this view and its rounds", copyLink),
          ),
          el(
            "p",
            { class: "hint" },
            "Benches are kept in this browser only. Export a file to keep one safe or to pass it on.",
          ),
        ),
      ),
    ),
  );

  // The two menus close as menus do: by Escape, and when attention goes elsewhere.
  const menus = [...host.querySelectorAll<HTMLDetailsElement>("details.bench-menu")];
  const closeOthers = (kept: Node | null) => {
    for (const menu of menus) if (!kept || !menu.contains(kept)) menu.open = false;
  };
  document.addEventListener("pointerdown", (event) => closeOthers(event.target as Node));
  host.addEventListener("focusin", (event) => closeOthers(event.target as Node));
  host.addEventListener("keydown", (event) => {
    if (event.key !== "Escape") return;
    menus
      .find((menu) => menu.open)
      ?.querySelector("summary")
      ?.focus();
    closeOthers(null);
  });

  return (state, derived) => {
    for (const unitButton of unitButtons) {
      unitButton.setAttribute("aria-pressed", String(unitButton.dataset.unit === state.units));
    }
    ladder.value = state.ladder.id;
    stepField.hidden = state.ladder.id !== "own";
    if (document.activeElement !== step) step.value = String(state.ladder.stepMl ?? 5);
    theme.value = state.theme;
    measures.update(state);
    const ids = state.benches.map((bench) => `${bench.id}\u0000${bench.name}`).join("\u0001");
    if (benchSelect.dataset.ids !== ids) {
      benchSelect.dataset.ids = ids;
      fill(benchSelect, ...state.benches.map((bench) => el("option", { value: bench.id }, bench.name)));
    }
    benchSelect.value = state.bench ?? "";
    badge.hidden = derived.bench?.invented !== true;
    setText(story, derived.bench?.story ?? "");
    if (document.activeElement !== name) name.value = derived.bench?.name ?? "";
  };
};
