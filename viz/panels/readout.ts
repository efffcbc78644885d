import { toVec } from "../../engine/axes.ts";
import { button, el, fill, setText } from "../dom.ts";
import type { Solver } from "../solver-client.ts";
import type { Derived } from "../state/derived.ts";
import { offers, type State } from "../state/store.ts";
import { doubtWords, glassesInHundred } from "../words/facts.ts";
import { axisNumber } from "../words/verdict.ts";
import { createAskButton } from "./ask-button.ts";
import { createBeam } from "./beam.ts";
import type { Context } from "./context.ts";
import { openPasteBox } from "./paste-box.ts";

const AXIS_TITLES = ["Sugar", "Acid", "Alcohol"] as const;
const AXIS_UNITS = ["g / 100 mL", "g / 100 mL, as citric", "% vol"] as const;

function finiteOrNull(x: number): number | null {
  return Number.isFinite(x) ? x : null;
}

/** The chance takes longer than a frame, so it waits until the hand rests. */
const CHANCE_AFTER_MS = 180;

/** Where the drink sits: a sentence, three beams, and the way to do something about it. */
export function readout(
  host: HTMLElement,
  context: Context,
  solver: Solver,
): (state: State, derived: Derived) => void {
  const { store, data, announce } = context;
  const go = createAskButton(context, solver, "ask-first");
  const paste = button("Paste your own spec", openPasteBox, { class: "quiet" });
  const headline = el("p", { class: "headline", id: "headline" });
  const detail = el("p", { class: "detail" });
  const chance = el("p", { class: "chance" });
  const notice = el("div", { class: "notice", role: "alert", hidden: true });
  const beams = ([0, 1, 2] as const).map((axis) => {
    const value = el("span", { class: "value", id: `value-${["sugar", "acid", "abv"][axis]}` });
    const sd = el("span", { class: "sd" });
    const note = el("span", { class: "axis-note" });
    const gauge = el("div", { class: "gauge" });
    const block = el(
      "div",
      { class: "axis" },
      el(
        "p",
        { class: "axis-head" },
        el(
          "span",
          { class: "axis-name" },
          AXIS_TITLES[axis],
          " ",
          el("span", { class: "axis-unit" }, AXIS_UNITS[axis]),
        ),
        value,
        sd,
        note,
      ),
      gauge,
    );
    return { block, value, sd, note, draw: createBeam(gauge, axis) };
  });
  const cautions = el("div", { class: "cautions" });
  const doubtRows = ([0, 1, 2] as const).map((axis) => {
    const words = el("dd");
    return { words, row: el("div", {}, el("dt", {}, AXIS_TITLES[axis]), words) };
  });
  const doubts = el(
    "details",
    { class: "doubts" },
    el("summary", {}, el("span", {}, "Where the ± comes from: "), "fruit, bottles, hands and ice"),
    el("dl", {}, ...doubtRows.map(({ row }) => row)),
    el(
      "p",
      { class: "hint" },
      "About two glasses in three fall within one ±. Measured one yourself? Put the figure under “Details” of that ingredient and the ± shrinks.",
    ),
  );
  const warnings = el("ul", { class: "warnings" });
  let chanceTimer: ReturnType<typeof setTimeout> | undefined;
  let lastAnnounced = "";
  let timer: ReturnType<typeof setTimeout> | undefined;

  fill(
    host,
    el("h2", { id: "readout-title", class: "visually-hidden" }, "Where the drink sits"),
    notice,
    el(
      "div",
      { class: "readout-main" },
      el(
        "div",
        { class: "words" },
        headline,
        detail,
        chance,
        el("div", { class: "buttons" }, go.element, paste),
      ),
      el(
        "div",
        {},
        el("div", { class: "beams" }, ...beams.map((beam) => beam.block)),
        el("div", { class: "asides" }, cautions, doubts),
      ),
    ),
    warnings,
  );

  const say = (text: string) => {
    clearTimeout(timer);
    timer = setTimeout(() => {
      if (text !== lastAnnounced) announce(text);
      lastAnnounced = text;
    }, 600);
  };

  return (state: State, derived: Derived) => {
    notice.hidden = state.notice === null;
    if (state.notice) {
      notice.dataset.tone = state.notice.tone;
      fill(
        notice,
        el("p", {}, state.notice.text),
        button("Dismiss", () => store.set({ notice: null }), { class: "quiet" }),
      );
    }
    const { placement, verdict, target } = derived;
    go.update(state, derived);
    host.dataset.state = "none";
    if (!placement) {
      setText(headline, "Nothing to place yet.");
      setText(
        detail,
        state.spec.lines.length === 0
          ? "Add an ingredient to the spec, or paste one."
          : `The spec cannot be placed: ${derived.placeProblem ?? "no reason given"}.`,
      );
      clearTimeout(chanceTimer);
      setText(chance, "");
      fill(cautions);
      fill(warnings);
      for (const beam of beams) {
        setText(beam.value, "–");
        setText(beam.sd, "");
        setText(beam.note, "");
        beam.block.dataset.state = "empty";
      }
      return;
    }
    const point = toVec(placement.point);
    const sd = toVec(placement.sd);
    host.dataset.state = verdict ? (verdict.inside ? "in" : "out") : "none";
    setText(headline, verdict?.headline ?? "No range chosen.");
    setText(
      detail,
      verdict?.detail ??
        derived.targetProblem ??
        "Choose a range beside the map to see how far off the drink is.",
    );
    clearTimeout(chanceTimer);
    chance.dataset.old = "true";
    chanceTimer = setTimeout(() => {
      const value = derived.chance();
      chance.dataset.old = "false";
      setText(
        chance,
        value === null ? "" : `Fruit, hands and ice vary: ${glassesInHundred(value)} would be in range.`,
      );
    }, CHANCE_AFTER_MS);
    const ghost = offers(state).find((proposal) => proposal.id === state.focusedProposal);
    const ghostPoint = ghost ? toVec(ghost.after) : null;
    const [lowCorner, highCorner] = target?.compiled.boundingBox ?? [null, null];
    beams.forEach((beam, i) => {
      const k = i as 0 | 1 | 2;
      setText(beam.value, axisNumber(k, point[k]));
      setText(beam.sd, `± ${axisNumber(k, sd[k])}`);
      const axisVerdict = verdict?.axes[k];
      const note = !axisVerdict
        ? ""
        : axisVerdict.state === "ok"
          ? verdict?.inside
            ? "in range"
            : "fine"
          : `${axisNumber(k, axisVerdict.by)} ${axisVerdict.state === "low" ? "under" : "over"}`;
      setText(beam.note, note);
      beam.block.dataset.state = axisVerdict?.state ?? "none";
      beam.draw({
        value: point[k],
        sd: sd[k],
        span: lowCorner && highCorner ? [finiteOrNull(lowCorner[k]), finiteOrNull(highCorner[k])] : null,
        state: axisVerdict?.state ?? "none",
        ghost: ghostPoint ? ghostPoint[k] : null,
        references: derived.references.map((reference) => reference.point[k]),
      });
    });

    for (const [k, { words }] of doubtRows.entries()) setText(words, doubtWords(placement, k as 0 | 1 | 2));
    fill(warnings, ...placement.warnings.map((text) => el("li", {}, text)));
    const texts = placement.cautions.flatMap(
      (id) => data.cautions.find((caution) => caution.id === id) ?? [],
    );
    const wasOpen = cautions.querySelector("details")?.open ?? false;
    const key = texts.map((caution) => caution.id).join();
    if (cautions.dataset.key !== key) {
      cautions.dataset.key = key;
      fill(
        cautions,
        texts.length > 0 &&
          el(
            "details",
            { open: wasOpen },
            el(
              "summary",
              {},
              el("span", {}, "Before you serve it: "),
              texts.map((caution) => caution.title.toLowerCase()).join(" · "),
            ),
            el(
              "ul",
              {},
              ...texts.map((caution) =>
                el("li", {}, el("strong", {}, `${caution.title}.`), " ", caution.text),
              ),
            ),
            el("p", { class: "hint" }, "Local law, food codes and licensed practice come first."),
          ),
      );
    }
    say(
      `${verdict?.headline ?? ""} Sugar ${axisNumber(0, point[0])}, acid ${axisNumber(1, point[1])} grams per 100 millilitres, alcohol ${axisNumber(2, point[2])} percent.`,
    );
  };
}
