import { DEFAULT_UNIT_SETTINGS } from "../engine/amounts/units.ts";
import { loadPageData, type PageData } from "./data/client.ts";
import { el, fill } from "./dom.ts";
import { benchAround } from "./edit/bench-edit.ts";
import { askPanel } from "./panels/ask.ts";
import type { Context } from "./panels/context.ts";
import { glassPanel } from "./panels/glass.ts";
import { header } from "./panels/header.ts";
import { mapPanel } from "./panels/map-panel.ts";
import { proposalsPanel } from "./panels/proposals.ts";
import { questionPanel } from "./panels/question.ts";
import { readout } from "./panels/readout.ts";
import { rounds } from "./panels/rounds.ts";
import { specEditor } from "./panels/spec-editor.ts";
import { strip } from "./panels/strip.ts";
import { tables } from "./panels/tables.ts";
import { createSolver } from "./solver-client.ts";
import {
  lastView,
  loadBenches,
  loadSettings,
  newId,
  rememberSettings,
  rememberView,
  saveBenches,
} from "./state/bench-storage.ts";
import { createDerive } from "./state/derived.ts";
import { createStore, type State, type Store } from "./state/store.ts";
import { decodeView, encodeView } from "./state/url-codec.ts";
import { DEFAULT_ASK, type TargetPart } from "./state/view.ts";

const byId = (id: string) => document.getElementById(id) as HTMLElement;

/** The target a bench names, or the plainest family. */
function targetFor(name: string | undefined, data: PageData): TargetPart[] {
  const id = (name ?? "").replace(/^(family|band):/, "");
  const band = data.bands.find((candidate) => candidate.id === id);
  if (band) return [{ kind: "band", band: band.id }];
  const family = data.families.find((candidate) => candidate.id === id) ?? data.families[0];
  return family ? [{ kind: "family", family: family.id, coverage: 0.9 }] : [];
}

/** The state a visit starts with: the link's view over what this browser keeps over the demo. */
function openingState(data: PageData): State {
  const settings = loadSettings(localStorage);
  const kept = loadBenches(localStorage);
  let benches = kept.benches.length > 0 ? kept.benches : [data.demo];
  const {
    view,
    bench: carried,
    problems,
  } = decodeView(location.hash.startsWith("#v=") ? location.hash : lastView(localStorage));
  if (kept.problem) problems.push(kept.problem);

  const own = benches.find((bench) => bench.id === view.bench);
  // A bench that came with the link opens beside ours, unless it is the one we already have.
  const brought =
    carried && own?.rounds.length !== carried.rounds.length ? { ...carried, id: newId("bench") } : null;
  if (brought) benches = [...benches, brought];
  const wanted = brought ?? own;
  let bench = wanted ?? benches[0]!;
  let spec = view.spec;
  if (spec) {
    const known = new Set(data.pantry.map((ingredient) => ingredient.id));
    const unknown = spec.lines.filter((line) => !known.has(line.ingredient));
    if (unknown.length > 0) {
      problems.push(
        `The link names ${unknown.map((line) => `“${line.ingredient}”`).join(", ")}, not in this pantry; left out.`,
      );
      spec = { ...spec, lines: spec.lines.filter((line) => known.has(line.ingredient)) };
    }
    if (!wanted && spec.lines.length > 0) {
      // A link from another browser: its spec gets a bench of its own, and ours stay as they were.
      bench = benchAround(spec, spec.name);
      benches = [...benches, bench];
    }
  }
  const round =
    (bench === brought ? undefined : bench.rounds.find((candidate) => candidate.id === view.round)) ??
    bench.rounds.find((candidate) => candidate.id === bench.current) ??
    bench.rounds.at(-1)!;
  return {
    spec: spec ?? round.spec,
    rules: view.rules ?? {},
    target: view.target ?? targetFor(bench.target, data),
    units: view.units ?? settings.units ?? "oz",
    ladder: view.ladder ?? { id: (view.units ?? settings.units) === "ml" ? "metric-jigger" : "us-jigger" },
    bench: bench.id,
    round: round.id,
    reference: data.drinks.some((drink) => drink.id === view.reference) ? (view.reference ?? null) : null,
    ask: view.ask ?? DEFAULT_ASK,
    benches,
    theme: settings.theme ?? "auto",
    prices: settings.prices ?? {},
    // A link that carries a spec carries its sender's figures and measures too, the usual ones included.
    measured: view.measured ?? (view.spec ? {} : (settings.measured ?? {})),
    unitSettings: view.unitSettings ?? ((!view.spec && settings.unitSettings) || DEFAULT_UNIT_SETTINGS),
    asking: null,
    answer: null,
    reply: null,
    questionProblem: null,
    askProblem: null,
    focusedProposal: null,
    notice: problems.length > 0 ? { tone: "problem", text: problems.join(" ") } : null,
  };
}

/** Keep the address, the benches and the settings in step with the state. */
function keep(store: Store): void {
  let saved: State | null = null;
  let timer: ReturnType<typeof setTimeout> | undefined;
  const write = () => {
    clearTimeout(timer);
    timer = undefined;
    const state = store.get();
    const hash = `#${encodeView(state)}`;
    if (hash !== location.hash) history.replaceState(null, "", hash);
    rememberView(localStorage, hash);
    if (saved?.benches !== state.benches) {
      const refused = saveBenches(localStorage, state.benches);
      if (refused && saved !== null) store.set({ notice: { tone: "problem", text: refused } });
    }
    if (saved) rememberSettings(localStorage, saved, state);
    saved = state;
  };
  // Browsers limit how often the address may change, so a drag writes it once it rests.
  store.subscribe(() => {
    timer ??= setTimeout(write, 250);
  });
  window.addEventListener("pagehide", write);
  write();
}

async function open(): Promise<void> {
  const data = await loadPageData();
  const derive = createDerive(data);
  const store = createStore(openingState(data));
  const announcer = byId("announcer");
  const context: Context = {
    store,
    data,
    derive: () => derive(store.get()),
    announce: (text) => {
      announcer.textContent = text;
    },
  };
  const solver = createSolver();
  const updates = [
    header(byId("masthead"), context),
    readout(byId("readout"), context, solver),
    specEditor(byId("spec"), context, createSolver()),
    askPanel(byId("ask"), context, solver),
    mapPanel(byId("map"), context),
    questionPanel(byId("question"), context, solver),
    proposalsPanel(byId("proposals"), context, solver),
    rounds(byId("rounds"), context),
    glassPanel(byId("glass"), context),
    tables(byId("tables"), context),
    strip(byId("strip"), context),
  ];
  const render = (state: State) => {
    document.documentElement.dataset.theme = state.theme;
    document.title = `${state.spec.name} – Steelyard`;
    const derived = derive(state);
    for (const update of updates) update(state, derived);
  };
  byId("page").hidden = false;
  byId("opening").hidden = true;
  store.subscribe(render);
  render(store.get());
  keep(store);

  // The address holds the view, so a link to a place on the page moves there without changing it.
  document.addEventListener("click", (event) => {
    const link = (event.target as Element).closest<HTMLAnchorElement>('a[href^="#"]');
    const place = link && document.getElementById(link.hash.slice(1));
    if (!place) return;
    event.preventDefault();
    place.scrollIntoView();
    place.focus({ preventScroll: true });
  });
  // A link pasted into the open page's address bar.
  window.addEventListener("hashchange", () => {
    if (!location.hash.startsWith("#v=") || location.hash === `#${encodeView(store.get())}`) return;
    const { benches, theme, prices, ...view } = openingState(data);
    store.edit({ ...view, benches });
  });
  // Undo as everywhere, unless a field is being typed in and has its own.
  window.addEventListener("keydown", (event) => {
    const typing =
      event.target instanceof HTMLElement &&
      event.target.matches("input[type=text], textarea, input[type=number]");
    if (event.key === "z" && (event.ctrlKey || event.metaKey) && !event.shiftKey && !typing) {
      event.preventDefault();
      store.undo();
    }
  });
}

fill(
  byId("footer"),
  el(
    "p",
    {},
    "Steelyard weighs sugar, acid and alcohol. It does not taste. Local law, food codes and licensed practice come before anything it says.",
  ),
  el(
    "p",
    { class: "footer-links" },
    el("a", { href: "./sources.html" }, "Where the numbers come from"),
    el("a", { href: "/docs" }, "API reference"),
    el("a", { href: "/openapi.json" }, "OpenAPI"),
  ),
);

open().catch((error: unknown) => {
  const opening = byId("opening");
  opening.setAttribute("role", "alert");
  opening.textContent = `The bench could not be opened. ${error instanceof Error ? error.message : String(error)}`;
});
